"""A Trammel server as a process of its own, on loopback, with a data folder of its own.

The demo and the tests in the browser start, stop and kill it through this.
"""

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

TRAMMEL = Path(sys.executable).parent / "trammel"
LOOPBACK = "127.0.0.1"


class ServerTrouble(Exception):
    """The server or one of its commands did not do what was asked; the message carries its own words."""


def free_port(first=None):
    """The first free loopback port from `first` on; any free one when `first` is left out."""
    for port in range(first, first + 50) if first else [0]:
        with socket.socket() as probe:
            try:
                probe.bind((LOOPBACK, port))
            except OSError:
                continue
            return probe.getsockname()[1]
    raise ServerTrouble(f"No port from {first} to {first + 49} is free on {LOOPBACK}.")


class Server:
    """One server over one data folder; the port stays the same over restarts, as a shop's address does."""

    def __init__(self, data, port=None, settings=None, log=None):
        self.data = Path(data)
        self.port = port or free_port()
        self.url = f"http://{LOOPBACK}:{self.port}"
        self.log = Path(log) if log else self.data.parent / f"{self.data.name}.log"
        self.env = {
            **os.environ,
            "TRAMMEL_DATA": str(self.data),
            "TRAMMEL_HOST": LOOPBACK,
            "TRAMMEL_PORT": str(self.port),
            "TRAMMEL_PUBLIC_URL": self.url,
            **(settings or {}),
        }
        self.process = None

    def command(self, *words):
        """Runs `trammel ...` on this server's data; returns what it printed."""
        done = subprocess.run(
            [str(TRAMMEL), *words], env=self.env, stdin=subprocess.DEVNULL, capture_output=True, text=True
        )
        if done.returncode:
            raise ServerTrouble(f"trammel {' '.join(words)} failed: {(done.stderr or done.stdout).strip()}")
        return done.stdout

    def start(self, seconds=60):
        with open(self.log, "ab") as log:
            # A session of its own, so that killing it takes its workers along and nothing else.
            self.process = subprocess.Popen(
                [str(TRAMMEL), "serve"], env=self.env, stdin=subprocess.DEVNULL, stdout=log, stderr=log,
                start_new_session=True,
            )  # fmt: skip
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if self.process.poll() is not None:
                raise ServerTrouble(f"The server stopped while starting. Its log ends:\n{self.log_end()}")
            if self.answers():
                return self
            time.sleep(0.05)
        self.kill()
        raise ServerTrouble(f"The server did not answer within {seconds} s. Its log ends:\n{self.log_end()}")

    def answers(self):
        try:
            with urllib.request.urlopen(f"{self.url}/api/health", timeout=2) as answer:
                return json.load(answer).get("ok") is True
        except (OSError, ValueError):
            return False

    def log_end(self):
        return "\n".join(self.log.read_text(errors="replace").splitlines()[-20:])

    def stop(self):
        """Asks it to finish what it does and end."""
        self._end(signal.SIGTERM)

    def kill(self):
        """Ends it in the middle of whatever it does, as a power cut would."""
        self._end(signal.SIGKILL)

    def _end(self, how):
        if self.process is None:
            return
        try:
            os.killpg(self.process.pid, how)
        except ProcessLookupError:
            pass
        try:
            self.process.wait(15)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        self.process = None

    def __enter__(self):
        return self.start()

    def __exit__(self, *problem):
        self.stop()
