"""The pages tell the truth about the files and the commands that they name."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PAGES = sorted(
    page
    for page in [*ROOT.glob("*.md"), *ROOT.glob("demo/*.md"), *ROOT.glob("deploy/*.md"), *ROOT.glob("server/**/*.md")]
)
TRAMMEL = Path(sys.executable).parent / "trammel"


def test_there_are_pages():
    assert {page.name for page in PAGES} >= {"README.md", "DEVELOPERS.md", "threat-model.md", "settings.md"}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_to_files_that_are_there(page):
    for link in re.findall(r"\]\(([^)#\s]+)\)", page.read_text("utf-8")):
        if "://" not in link:
            assert (page.parent / link).exists(), f"{page.name} links to {link}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_paths_named_in_a_page_are_there(page):
    made_later = {"demo/.state/"}
    for path in re.findall(r"`((?:server|pwa|demo|tests|deploy)/[\w./-]*)`", page.read_text("utf-8")):
        assert path in made_later or (ROOT / path).exists(), f"{page.name} names {path}"


def commands_of(*words):
    help_text = subprocess.run([TRAMMEL, *words, "--help"], capture_output=True, text=True, check=True).stdout
    return set(re.findall(r"^    ([a-z-]+)(?: |$)", help_text, re.MULTILINE))


def test_commands_named_in_the_pages_exist():
    known = commands_of()
    for page in PAGES:
        for first, second in re.findall(r"trammel ([a-z-]+)(?: ([a-z-]+))?", " ".join(code_of(page))):
            assert first in known, f"{page.name} names trammel {first}"
            if second and first in ("person", "device", "procedure", "card", "workings"):
                assert second in commands_of(first), f"{page.name} names trammel {first} {second}"


def code_of(page):
    """What stands in a page as commands: in backticks or in a block of them."""
    text = page.read_text("utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    said = [line.replace("as_trammel", "trammel") for block in blocks for line in block.splitlines()]
    return [
        found
        for line in [*re.findall(r"`([^`\n]+)`", text), *said]
        for found in re.findall(r"^(?:\S*/)?trammel [a-z].*", line.strip())
    ]
