"""The set-up and the runner of the checks: what they decide, without installing anything."""

import importlib.util
from pathlib import Path

import environment
import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def runner():
    spec = importlib.util.spec_from_file_location("tests_runner", ROOT / "tests" / "run.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("version", ["v20.19.0", "v20.20.2", "v22.12.0", "v23.1.0", "v24.19.0"])
def test_a_node_that_the_build_tools_take_is_used(version):
    assert environment.suitable(version)


@pytest.mark.parametrize("version", ["v18.20.4", "v20.18.1", "v21.7.0", "v22.11.0", "", "no node"])
def test_a_node_that_is_too_old_or_none_is_not_used(version):
    assert not environment.suitable(version)


def test_an_ordinary_user_is_told_the_command_that_root_must_run(monkeypatch):
    monkeypatch.setattr(environment, "missing_packages", lambda tests: ["libpango-1.0-0", "chromium"])
    monkeypatch.setattr(environment.shutil, "which", lambda name: "/usr/bin/apt-get")
    monkeypatch.setattr(environment.os, "geteuid", lambda: 1000)
    with pytest.raises(environment.CannotGoOn, match="apt-get install -y libpango-1.0-0 chromium"):
        environment.system_packages(tests=True)


def test_a_command_that_fails_is_named_so_that_it_can_be_tried_by_hand():
    with pytest.raises(environment.CannotGoOn, match="exit code 3") as raised:
        environment.run(["sh", "-c", "exit 3"], "the step")
    assert "sh -c exit 3" in str(raised.value)


def test_the_digest_changes_with_a_byte_and_with_a_name(tmp_path, monkeypatch):
    monkeypatch.setattr(environment, "ROOT", tmp_path)
    one, two = tmp_path / "one", tmp_path / "two"
    one.write_text("a")
    two.write_text("a")
    before = environment.digest_of([one])
    assert environment.digest_of([two]) != before
    one.write_text("b")
    assert environment.digest_of([one]) != before


def test_pytest_and_vitest_closing_lines_are_counted(runner):
    assert runner.count_pytest(["== 2 failed, 10 passed, 1 skipped, 1 error in 3.20s ==\n"]) == (10, 3, 1)
    assert runner.count_pytest(["== 7 passed in 61.00s (0:01:01) ==\n"]) == (7, 0, 0)
    assert runner.count_vitest(["\x1b[2m      Tests \x1b[22m 1 failed | 12 passed (13)\n"]) == (12, 1, 0)


@pytest.mark.parametrize(
    ("code", "counts", "failed"),
    [
        (0, (3, 0, 0), 0),
        (1, (3, 2, 0), 2),
        (5, (0, 0, 0), 1),
        (0, (0, 0, 0), 1),
        (2, (4, 0, 0), 1),
        (-9, None, 1),
    ],
)
def test_a_part_that_ran_no_test_or_died_has_failed(runner, code, counts, failed):
    result = runner.Result("part", "what")
    runner.judge(result, code, counts)
    assert result.failed == failed


def test_every_test_file_belongs_to_a_part(runner):
    for _, folders in runner.PYTEST.values():
        for folder in folders:
            assert (ROOT / folder).is_dir(), f"{folder} is named in tests/run.py and is not there"
