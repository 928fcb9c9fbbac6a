"""The demo workshop: seeds it once, serves it, says what to open; or rehearses the whole job and ends."""

import argparse
import shutil
import signal
import sys
import time
from pathlib import Path

STATE = Path(__file__).resolve().parent / ".state"
PORT = 8460
# Codes that last an hour: enough to look round first. A shop's own last ten minutes.
CODE_SECONDS = 3600


def main():
    asked = options()
    from phone import Refused
    from serving import ServerTrouble

    try:
        if asked.rehearse:
            from rehearse import Differs, rehearse

            try:
                rehearse(asked.rehearse)
            except Differs as difference:
                return f"\n{difference}"
            return 0
        return serve(asked)
    except (ServerTrouble, Refused) as reason:
        return f"\nThe demo has stopped. {reason}"
    except KeyboardInterrupt:
        return "\nStopped."


def options():
    parser = argparse.ArgumentParser(
        "demo/run.py", description="Sets up and starts an invented workshop on this machine."
    )
    parser.add_argument(
        "--rehearse", metavar="OUT",
        help="play the whole job without a browser, write its packets to OUT, and end",
    )  # fmt: skip
    parser.add_argument("--fresh", action="store_true", help="throw the demo's cards away and start over")
    parser.add_argument(
        "--port", type=int, default=PORT, help=f"port on loopback (default: {PORT}, or the next free one)"
    )
    parser.add_argument(
        "--codes", action="store_true", help="print new links for the demo that is running, and end"
    )
    return parser.parse_args()


def serve(asked):
    from railway import Railway
    from serving import Server, free_port

    shop, seeded, port_file = STATE / "shop", STATE / "seeded", STATE / "port"
    if asked.codes:
        if not port_file.exists():
            return "The demo is not running; start it with python3 demo/run.py."
        server = Server(shop, int(port_file.read_text()), demo_settings())
        print_links(Railway(server))
        return 0
    if asked.fresh or not seeded.exists():
        shutil.rmtree(STATE, ignore_errors=True)
    STATE.mkdir(exist_ok=True)
    server = Server(shop, free_port(asked.port), demo_settings(), STATE / "server.log")
    server.command("init")
    # However this ends, the server must not stay behind.
    for kind in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(kind, signal.default_int_handler)
    server.start()
    try:
        if not seeded.exists():
            from seed import seed

            began = time.monotonic()
            print("== Seeding the demo", flush=True)
            seed(server)
            seeded.write_text("")
            print(f"   done in {time.monotonic() - began:.1f} s", flush=True)
        port_file.write_text(str(server.port))
        print(f"\nThe demo workshop is open at {server.url}\n")
        print_links(Railway(server))
        print("\nCtrl-C stops it; its cards stay. --fresh starts over.", flush=True)
        server.process.wait()
        return f"\nThe server ended by itself. Its log ends:\n{server.log_end()}"
    except KeyboardInterrupt:
        print("\nStopped.")
        return 0
    finally:
        port_file.unlink(missing_ok=True)
        server.stop()


def demo_settings():
    return {"TRAMMEL_ENROLMENT_SECONDS": str(CODE_SECONDS)}


def print_links(railway):
    rows = [
        ("mechanic, Wenna Tolland", "wenna", "on one phone (or browser profile)"),
        ("lead, Maren Oake", "maren", "on another phone"),
        ("lead, Maren Oake", "maren", "on the mechanic's phone, to sign there"),
    ]
    print("Enrolment links, each good once and for an hour:")
    for who, person, where in rows:
        print(f"  {who}, {where}:\n    {railway.invite(person)}")
    print("New ones: python3 demo/run.py --codes")


if __name__ == "__main__":
    sys.exit(main())
