"""Phones and a server for the tests in the real browser.

A phone is a Chromium with a profile folder of its own, so that it can be killed and started again with
what it had kept. The server is a process of its own and can be killed too.
"""

import os
import re
import signal
import time
from pathlib import Path

import environment
import pytest
from playwright.sync_api import Error as PlaywrightError
from railway import Railway
from serving import Server

FAILED = pytest.StashKey()
# What a failed test saw last; not kept in the repository.
RESULTS = environment.ROOT / "tests" / ".results"
PHONE = "Pixel 7"
ROD = "rod-2-3"
ARGUMENTS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]


def launch_arguments():
    # Chromium's sandbox does not run under root, and a build machine is root.
    args = [*ARGUMENTS, "--no-sandbox"] if os.geteuid() == 0 else ARGUMENTS
    return {"executable_path": environment.chromium(), "args": args}


@pytest.fixture(scope="session", autouse=True)
def chromium_is_there():
    if environment.chromium() is None:
        pytest.fail("No Chromium is found; install it (apt-get install chromium) or name one in CHROMIUM.")


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    return {**browser_type_launch_args, **launch_arguments()}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args, playwright):
    phone = {key: value for key, value in playwright.devices[PHONE].items() if key != "default_browser_type"}
    return {**browser_context_args, **phone}


@pytest.fixture
def server(tmp_path):
    """A server with an empty shop: root key, secret, tables, no people yet."""
    one = Server(tmp_path / "shop")
    one.command("init")
    one.start()
    yield one
    one.kill()


@pytest.fixture
def railway(server):
    """The invented shop, with one engine that lacks one pair of rods."""
    made = Railway(server)
    made.sign_on()
    made.lay_down_gauges()
    made.bring_in(rods=[ROD])
    made.holder.push()
    return made


@pytest.fixture
def phones(playwright, tmp_path, request):
    """phones(name) gives a phone of that name; the same name gives the same profile."""
    made = {}

    def phone(name, **options):
        if name not in made:
            made[name] = BrowserPhone(playwright, tmp_path / f"phone-{name}", **options)
        return made[name]

    yield phone
    for name, one in made.items():
        if request.node.stash.get(FAILED, False):
            one.take_picture(RESULTS / f"{request.node.name}-{name}.png")
        one.stop()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    if report.when == "call":
        item.stash[FAILED] = report.failed
    return report


class BrowserPhone:
    def __init__(self, playwright, profile, width=412, height=915, scheme="light"):
        self.playwright = playwright
        self.profile = Path(profile)
        device = {k: v for k, v in playwright.devices[PHONE].items() if k != "default_browser_type"}
        self.options = {**device, "viewport": {"width": width, "height": height}, "color_scheme": scheme}
        self.context = None
        self.offline = False
        self.problems = []

    def start(self):
        self.context = self.playwright.chromium.launch_persistent_context(
            self.profile, **launch_arguments(), **self.options
        )
        self.context.set_default_timeout(20_000)
        self.context.set_offline(self.offline)
        self.page = self.context.pages[0] if self.context.pages else self.context.new_page()
        self.page.on("pageerror", lambda error: self.problems.append(str(error)))
        return self.page

    def go_offline(self, offline=True):
        self.offline = offline
        if self.context:
            self.context.set_offline(offline)

    def take_picture(self, file):
        if self.context:
            file.parent.mkdir(exist_ok=True)
            try:
                self.page.screenshot(path=file)
                print(f"What {self.profile.name} showed: {file.relative_to(environment.ROOT)}")
            except PlaywrightError as problem:
                print(f"No picture of {self.profile.name}: {problem}")

    def stop(self):
        """As a person closes it."""
        if self.context:
            context, self.context = self.context, None
            try:
                context.close()
            except PlaywrightError as problem:  # the browser may be dead already
                print(f"closing {self.profile.name}: {problem}")

    def kill(self):
        """As an empty battery does: SIGKILL to every process of this profile, and to no other."""
        for pid in processes_of(self.profile):
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                pass
        end = time.monotonic() + 10
        while processes_of(self.profile) and time.monotonic() < end:
            time.sleep(0.02)
        self.stop()
        # A killed Chromium leaves its lock behind; a phone that starts again has none.
        for lock in self.profile.glob("Singleton*"):
            lock.unlink(missing_ok=True)


def processes_of(profile):
    """The processes started on this profile and everything below them (Linux)."""
    parents, roots = {}, set()
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            words = (folder / "cmdline").read_bytes().split(b"\0")
            stat = (folder / "stat").read_text()
        except OSError:
            continue
        state, parent = re.search(r"\) (\S) (\d+)", stat).groups()
        if state == "Z":
            continue
        parents[int(folder.name)] = int(parent)
        if f"--user-data-dir={profile}".encode() in words:
            roots.add(int(folder.name))
    found = set(roots)
    while True:
        more = {pid for pid, parent in parents.items() if parent in found} - found
        if not more:
            return found
        found |= more
