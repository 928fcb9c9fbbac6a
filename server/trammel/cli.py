"""The command line: `trammel COMMAND`. Each says what it did, or in one sentence what stopped it."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from workings.entries import ROLES
from workings.errors import WorkingError

import trammel
from trammel import cli_workings, config
from trammel.errors import SetUpError, TrammelError


def main(arguments: list[str] | None = None) -> int:
    parser = build_parser()
    asked = parser.parse_args(arguments)
    try:
        return asked.run(asked) or 0
    except (SetUpError, TrammelError, WorkingError) as error:
        print(error.message, file=sys.stderr)
        return 1
    except BrokenPipeError:
        # Whoever read along has heard enough; closing the rest quietly keeps Python from complaining.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 141
    except OSError as error:
        print(f"{error.filename or 'trammel'}: {error.strerror or error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


def build_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        "trammel",
        description="Job cards for heritage locomotive workshops.",
        epilog="Settings come from TRAMMEL_… variables; `trammel settings` lists them with their reasons.",
    )
    parser.add_argument("--version", action="version", version=f"trammel {trammel.VERSION}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    add(commands, "init", init, "Set a shop up: secret, root key, database, procedures. Safe to repeat.")
    serve = add(commands, "serve", serve_, "Serve phones.")
    serve.add_argument("--host", help="address to listen on (TRAMMEL_HOST)")
    serve.add_argument("--port", type=int, help="port to listen on (TRAMMEL_PORT)")
    add(commands, "settings", settings, "List every setting with its reason.")
    add(
        commands,
        "new-epoch",
        new_epoch,
        "After a restore: every phone reads all anew and gives all it holds.",
    )
    add_person(commands)
    add_device(commands)
    add_procedures(commands)
    add_cards(commands)
    cli_workings.add_commands(commands)
    return parser


def add(commands: Any, name: str, run: Any, help: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(name, help=help, description=help)
    parser.set_defaults(run=run)
    return parser


def group(commands: Any, name: str, help: str) -> Any:
    parser = commands.add_parser(name, help=help, description=help)
    return parser.add_subparsers(title="commands", required=True, metavar="COMMAND")


# --- the shop and its server -------------------------------------------------------------------------


def init(_asked: argparse.Namespace) -> int:
    from trammel import setup

    made = setup.init(config.read())
    print(f"Root key {made.fingerprint}")
    print("  Write the fingerprint down: it proves that a packet or a bundle is this shop's.")
    print(f"  The key is in {config.read().root_key}; keep a copy where the server is not.")
    for line in made.published:
        print(f"Published: {line}")
    print("The shop is set up." if made.new else "The shop was set up already; nothing of it was changed.")
    return 0


def serve_(asked: argparse.Namespace) -> int:
    from trammel import serving, setup

    read = config.read(host=asked.host, port=asked.port)
    for name in config.unknown(os.environ):
        print(f"{name} is not a setting; `trammel settings` lists them.", file=sys.stderr)
    app = setup.ready(read)
    print(f"Trammel serves {read.data} at {read.public_url} (stop it with Ctrl-C)", flush=True)
    serving.run(app, read)
    return 0


def settings(_asked: argparse.Namespace) -> int:
    for setting in config.SETTINGS:
        print(
            f"{setting.name}  (default: {setting.default or 'empty'})\n  {setting.what}\n  {setting.reason}"
        )
    return 0


def new_epoch(_asked: argparse.Namespace) -> int:
    from trammel import log

    with shop():
        print(
            f"New epoch {log.renew_epoch()}: phones will read all of the log again and give it all they hold."
        )
    return 0


def shop() -> Any:
    """The application's context, on the database that the settings name."""
    from trammel import setup

    return setup.ready(config.read()).app_context()


# --- people and phones -------------------------------------------------------------------------------


def add_person(commands: Any) -> None:
    people = group(commands, "person", "Who is in the crew register.")
    adding = add(
        people, "add", person_add, "Write a person into the crew register and print an enrolment code."
    )
    adding.add_argument("name", metavar="NAME")
    adding.add_argument(
        "--role", action="append", choices=ROLES, required=True, help="may be given more than once"
    )
    adding.add_argument("--id", help="short name for the register; made from NAME where it is not given")
    inviting = add(people, "invite", person_invite, "Print a new enrolment code for a person's phone.")
    inviting.add_argument("person", metavar="PERSON")
    for parser in (adding, inviting):
        parser.add_argument("--qr", action="store_true", help="draw the link as a QR code in the terminal")
    add(people, "list", person_list, "List the crew as the register tells it.")


def person_add(asked: argparse.Namespace) -> int:
    from trammel import people

    with shop():
        person, code, expires = people.add(asked.name, asked.role, asked.id)
        print(f"{asked.name} is in the crew register as {person}: {', '.join(asked.role)}.")
        show_code(code, expires, asked.qr)
    return 0


def person_invite(asked: argparse.Namespace) -> int:
    from trammel import people

    with shop():
        code, expires = people.invite_from_here(asked.person)
        show_code(code, expires, asked.qr)
    return 0


def show_code(code: str, expires: int, qr: bool) -> None:
    import segno

    from trammel import clock, people

    link = people.link(code)
    print(f"Enrolment code {code}, good once, until {clock.text(expires)}")
    print(f"Open on the phone: {link}")
    if qr:
        segno.make(link, error="m").terminal(compact=True)


def person_list(_asked: argparse.Namespace) -> int:
    from trammel import crew
    from trammel.models import db

    with shop(), db.engine.connect() as connection:
        for person, line in sorted(crew.crew(connection).items()):
            print(
                f"{person}\t{line['name']}\t{', '.join(line['roles']) or 'no role'}\t{len(line['keys'])} keys"
            )
    return 0


def add_device(commands: Any) -> None:
    devices = group(commands, "device", "Phones that may open sessions.")
    add(devices, "list", device_list, "List the phones.")
    closing = add(
        devices, "close", device_close, "Let a phone open no more sessions; what it signed is untouched."
    )
    closing.add_argument(
        "device", metavar="DEVICE", help="as `trammel device list` prints it, or its beginning"
    )


def device_list(_asked: argparse.Namespace) -> int:
    from trammel import clock, sessions

    with shop():
        for device in sessions.devices():
            state = (
                f"closed {clock.text(device.closed)}"
                if device.closed
                else f"since {clock.text(device.enrolled)}"
            )
            print(f"{device.id[:12]}\t{device.person}\t{device.name}\t{state}")
    return 0


def device_close(asked: argparse.Namespace) -> int:
    from trammel import sessions

    with shop():
        device = sessions.close_device(asked.device)
        print(f"The phone {device.name} of {device.person} opens no more sessions.")
    return 0


# --- procedures, cards, paper ------------------------------------------------------------------------


def add_procedures(commands: Any) -> None:
    checking = add(
        commands, "check-procedure", check_procedure, "Say everything that is wrong with a procedure file."
    )
    checking.add_argument("file", type=Path, metavar="FILE")
    procedures = group(commands, "procedure", "Published procedures.")
    publishing = add(
        procedures, "publish", procedure_publish, "Publish a procedure file as a version that never changes."
    )
    publishing.add_argument("file", type=Path, metavar="FILE")
    add(procedures, "list", procedure_list, "List the published versions.")


def check_procedure(asked: argparse.Namespace) -> int:
    # Straight from the reader: checking a draft needs no shop.
    from workings import procedure as reader
    from workings import vocabulary

    made, found = reader.problems(asked.file.read_bytes())
    for problem in found:
        print(f"{problem['level']}: {reader.sentence(problem)}")
    wrong = sum(problem["level"] == "error" for problem in found)
    if made is None or wrong:
        print(f"{asked.file}: {wrong} to put right.")
        return 1
    title = vocabulary.say(made.title, "american")
    print(f"{asked.file}: {title}, version {made.version}, can be published. Digest {made.digest}")
    return 0


def procedure_publish(asked: argparse.Namespace) -> int:
    from trammel import procedures

    source = asked.file.read_bytes()
    with shop():
        made, new = procedures.publish(source)
    state = "published" if new else "published before"
    print(f"{procedures.title_of(made)}, version {made.version}: {state}. {made.digest}")
    return 0


def procedure_list(_asked: argparse.Namespace) -> int:
    from trammel import procedures

    with shop():
        for line in procedures.lines():
            print(f"{line['digest']}\t{line['id']}\t{line['version']}\t{line['title']}")
    return 0


def add_cards(commands: Any) -> None:
    cards = group(commands, "card", "Job cards.")
    add(cards, "list", card_list, "List the cards by engine, with where each stands.")
    packet = add(commands, "packet", packet_, "Write the packet of a card as PDF.")
    what = packet.add_mutually_exclusive_group(required=True)
    what.add_argument("card", nargs="?", metavar="CARD")
    what.add_argument("--procedure", metavar="PROCEDURE", help="a blank one, before any card is opened")
    packet.add_argument("--position", action="append", default=[], metavar="LABEL", help="with --procedure")
    packet.add_argument("--out", type=Path, required=True, metavar="FILE")
    packet.add_argument("--paper", choices=("A4", "Letter"), default="A4")
    kind = packet.add_mutually_exclusive_group()
    kind.add_argument(
        "--blank", action="store_const", const="blank", dest="kind", help="to work from on paper"
    )
    kind.add_argument(
        "--filled", action="store_const", const="filled", dest="kind", help="with all that is known"
    )
    packet.set_defaults(kind="filled")


def card_list(_asked: argparse.Namespace) -> int:
    from trammel import cards

    with shop():
        for engine in cards.listed(None)["engines"]:
            print(engine["name"])
            for line in engine["cards"]:
                print(f"  {line['card']}\t{line['title']}\t{line['words']}")
    return 0


def packet_(asked: argparse.Namespace) -> int:
    from trammel import cards

    with shop():
        if asked.procedure:
            kind, of = "blank", asked.procedure
            pdf = cards.blank_packet(asked.procedure, asked.position, asked.paper)
        else:
            kind, of = asked.kind, asked.card
            pdf = cards.packet(asked.card, asked.kind, asked.paper)
    asked.out.write_bytes(pdf)
    print(f"{asked.out}: {kind} packet of {of} on {asked.paper}, {len(pdf)} bytes.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
