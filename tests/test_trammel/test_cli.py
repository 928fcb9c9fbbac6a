"""The command line, as somebody types it; and the server as a process, killed in the middle."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from handset import Handset
from trammel import cli

RODS = Path(__file__).parents[2] / "server" / "trammel" / "procedures" / "hang-side-rods.json"


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.setenv("TRAMMEL_DATA", str(tmp_path / "shop"))
    monkeypatch.setenv("TRAMMEL_PUBLIC_URL", "https://trammel.shop.lan")
    assert cli.main(["init"]) == 0
    return tmp_path / "shop"


def run(capsys, *words):
    capsys.readouterr()
    code = cli.main(list(words))
    said = capsys.readouterr()
    return code, said.out, said.err


def test_init_prints_the_fingerprint_and_can_be_repeated(shop, capsys):
    code, out, _ = run(capsys, "init")
    assert code == 0
    assert re.search(r"^Root key (\S{4} ){10}\S{3}$", out, re.MULTILINE)
    assert "set up already" in out


def test_commands_before_init_say_what_to_run(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("TRAMMEL_DATA", str(tmp_path / "nothing"))
    for words in (["serve"], ["person", "list"], ["card", "list"]):
        code, _, error = run(capsys, *words)
        assert code == 1
        assert "trammel init" in error


def test_a_person_is_added_with_a_link_to_enrol(shop, capsys):
    code, out, _ = run(capsys, "person", "add", "Ada Finch", "--role", "mechanic", "--role", "lead")
    assert code == 0
    found = re.search(r"^Enrolment code (\w{5}-\w{5}), good once, until \S+Z$", out, re.MULTILINE)
    assert f"https://trammel.shop.lan/#/enrol/{found[1]}" in out
    code, out, _ = run(capsys, "person", "list")
    assert out == "ada-finch\tAda Finch\tmechanic, lead\t0 keys\n"


def test_the_link_is_drawn_when_asked_for(shop, capsys):
    _, out, _ = run(capsys, "person", "add", "Ada Finch", "--role", "lead", "--qr")
    assert "█" in out


def test_a_person_is_invited_again(shop, capsys):
    run(capsys, "person", "add", "Ada Finch", "--role", "mechanic")
    code, out, _ = run(capsys, "person", "invite", "ada-finch")
    assert code == 0 and "Enrolment code" in out
    code, _, error = run(capsys, "person", "invite", "nobody")
    assert code == 1 and "trammel person list" in error


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["person", "add", "Ada Finch"], "--role"),
        (["person", "add", "Ada Finch", "--role", "king"], "mechanic"),
        (["nothing"], "COMMAND"),
        (["packet", "c", "--out", "x", "--paper", "A3"], "Letter"),
    ],
)
def test_words_that_are_not_known_are_refused_with_those_that_are(shop, capsys, words, said):
    with pytest.raises(SystemExit) as ended:
        cli.main(words)
    assert ended.value.code == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("name", ["", "   ", "x" * 201])
def test_a_name_that_is_none_is_refused(shop, capsys, name):
    code, _, error = run(capsys, "person", "add", name, "--role", "mechanic")
    assert code == 1 and error
    assert run(capsys, "person", "list")[1] == ""


def test_a_procedure_is_checked_without_a_shop_and_published_with_one(shop, capsys, tmp_path, monkeypatch):
    bad = tmp_path / "bad.json"
    bad.write_text('{"format": "trammel-procedure/1"}')
    code, out, _ = run(capsys, "check-procedure", str(bad))
    assert code == 1 and "error:" in out
    code, _, error = run(capsys, "procedure", "publish", str(bad))
    assert code == 1 and error
    code, _, error = run(capsys, "check-procedure", str(tmp_path / "missing.json"))
    assert code == 1 and "missing.json" in error
    code, out, _ = run(capsys, "check-procedure", str(RODS))
    assert code == 0 and "can be published" in out
    code, out, _ = run(capsys, "procedure", "publish", str(RODS))
    assert code == 0 and "published before" in out
    assert "hang-side-rods" in run(capsys, "procedure", "list")[1]


def test_a_new_epoch_is_printed(shop, capsys):
    code, out, _ = run(capsys, "new-epoch")
    assert code == 0 and out.startswith("New epoch ")


def test_every_setting_is_listed_with_its_reason(capsys):
    from trammel import config

    _, out, _ = run(capsys, "settings")
    for setting in config.SETTINGS:
        assert setting.name in out and setting.reason in out


def test_a_device_is_listed_and_closed(shop, capsys):
    from trammel import config, setup

    _, out, _ = run(capsys, "person", "add", "Ada Finch", "--role", "mechanic")
    phone = Handset(setup.ready(config.read()).test_client(), "Ada's phone")
    phone.enrol(re.search(r"code (\S+),", out)[1])
    _, out, _ = run(capsys, "device", "list")
    assert out.startswith(phone.device_id[:12]) and "Ada's phone" in out
    assert run(capsys, "device", "close", phone.device_id[:12])[0] == 0
    assert "closed" in run(capsys, "device", "list")[1]
    assert phone.get("/api/entries").status_code == 401
    assert run(capsys, "device", "close", "nothing")[0] == 1


def test_calculating_starts_without_the_web_framework():
    script = "import sys, trammel.cli; assert 'flask' not in sys.modules and 'pint' not in sys.modules"
    subprocess.run([sys.executable, "-c", script], check=True, env=environment())


# --- the server as a process


def environment(**settings):
    server = str(Path(__file__).parents[2] / "server")
    return {**os.environ, "PYTHONPATH": server, **settings}


class Client:
    """The few calls of a test client that a handset needs, over a socket."""

    def __init__(self, url):
        self.url = url

    def get(self, path, headers=None, query_string=None):
        query = (
            "?" + "&".join(f"{name}={value}" for name, value in query_string.items()) if query_string else ""
        )
        return self._call(urllib.request.Request(self.url + path + query, headers=headers or {}))

    def post(self, path, json, headers=None):
        data = globals()["json"].dumps(json).encode()
        head = {"Content-Type": "application/json", **(headers or {})}
        return self._call(urllib.request.Request(self.url + path, data, head))

    def _call(self, request):
        try:
            with urllib.request.urlopen(request, timeout=20) as answer:
                return Answer(answer.status, answer.read())
        except urllib.error.HTTPError as error:
            return Answer(error.code, error.read())


class Answer:
    def __init__(self, status, data):
        self.status_code, self.text = status, data.decode()
        self.json = json.loads(data)


class Serving:
    def __init__(self, env):
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.env, self.url = env, f"http://127.0.0.1:{self.port}"

    def __enter__(self):
        words = [sys.executable, "-m", "trammel.cli", "serve", "--port", str(self.port)]
        self.process = subprocess.Popen(
            words, env=self.env, start_new_session=True, stdout=subprocess.DEVNULL
        )
        end = time.monotonic() + 30
        while time.monotonic() < end:
            try:
                urllib.request.urlopen(self.url + "/api/health", timeout=2).close()
                return self
            except OSError:
                assert self.process.poll() is None, "the server stopped while starting"
                time.sleep(0.05)
        raise AssertionError("the server did not answer within 30 s")

    def kill(self):
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def __exit__(self, *_problem):
        self.kill()


def test_what_was_answered_outlives_a_killed_server_and_what_was_not_can_be_sent_again(shop, capsys):
    _, out, _ = run(capsys, "person", "add", "Ada Finch", "--role", "mechanic")
    code = re.search(r"code (\S+),", out)[1]
    env = environment(TRAMMEL_DATA=str(shop))
    with Serving(env) as server:
        phone = Handset(Client(server.url))
        phone.enrol(code)
        kept = phone.note("answered")
        assert phone.push(kept)[0]["answer"] == "appended"
        server.kill()
    with Serving(env) as server:
        phone.client = Client(server.url)
        more = phone.note("after")
        assert [answer["answer"] for answer in phone.push(kept, more, kept)] == ["here", "appended", "here"]
        pulled = phone.pull()["entries"]
        assert [line["position"] for line in pulled] == list(range(1, len(pulled) + 1))
        assert [line["jws"] for line in pulled][-2:] == [kept, more]


def test_the_server_stops_when_asked(shop):
    with Serving(environment(TRAMMEL_DATA=str(shop))) as server:
        server.process.send_signal(signal.SIGTERM)
        assert server.process.wait(20) == 0
