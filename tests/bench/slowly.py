"""A slow phone: a browser whose processes are stopped and continued in a duty cycle.

Chromium's own throttling slows the page and not its workers, where the workings run; this slows everything.
"""

import os
import signal
import threading
import time

from conftest import processes_of

PERIOD = 0.020


class Slowly:
    """`with Slowly(profile, share):` lets the browser on that profile run for this share of the time."""

    def __init__(self, profile, share):
        self.profile, self.share = profile, share
        self.over = threading.Event()
        self.thread = threading.Thread(target=self.cycle, daemon=True)

    def cycle(self):
        pids, looked = set(), 0.0
        while not self.over.is_set():
            # Chromium starts processes as it goes; looking for them each time would cost too much.
            if time.monotonic() - looked > 0.5:
                pids, looked = processes_of(self.profile), time.monotonic()
            send(pids, signal.SIGSTOP)
            time.sleep(PERIOD * (1 - self.share))
            send(pids, signal.SIGCONT)
            time.sleep(PERIOD * self.share)
        send(processes_of(self.profile), signal.SIGCONT)

    def __enter__(self):
        if self.share < 1:
            self.thread.start()
        return self

    def __exit__(self, *problem):
        self.over.set()
        if self.share < 1:
            self.thread.join()


def send(pids, what):
    for pid in pids:
        try:
            os.kill(pid, what)
        except ProcessLookupError:
            pass
