"""A new version of the app waits: never over a half-typed reading, and not before somebody says so."""

import base64
import hashlib
import re
import shutil

import environment
import pytest
from hand import SLOW, Hand
from playwright.sync_api import expect
from serving import Server

NEWER = "<!-- a newer version -->"


@pytest.fixture
def built(tmp_path):
    """A copy of the built app, to bring out a new version of."""
    return shutil.copytree(environment.BUILT, tmp_path / "pwa")


@pytest.fixture
def server(tmp_path, built):
    one = Server(tmp_path / "shop", settings={"TRAMMEL_PWA": str(built)})
    one.command("init")
    one.start()
    yield one
    one.kill()


def digest_of(text):
    """As the build names a file's content in the service worker's list."""
    return base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).decode()[:16]


def bring_out_a_new_version(built):
    page, worker = built / "index.html", built / "sw.js"
    old, new = page.read_text(), page.read_text() + NEWER
    listed = worker.read_text()
    assert digest_of(old) in listed
    page.write_text(new)
    changed = listed.replace(digest_of(old), digest_of(new))
    worker.write_text(re.sub(r"trammel-[\w-]{16}", "trammel-" + "n" * 16, changed))
    for file in (page, worker):
        for ending in (".br", ".gz"):
            file.with_name(file.name + ending).unlink()


def test_a_new_version_waits_for_the_half_typed_reading(server, built, railway, phones):
    railway.open_card(rods=["rod-2-3"])
    railway.holder.push()
    phone = phones("mechanic")
    phone.start()
    hand = Hand(phone, server.url)
    hand.enrol(railway.invite("wenna"), "135790")
    hand.all_sent()
    hand.open()
    hand.take_the_phone("Wenna Tolland", "135790")
    hand.at("63-side-rods", "wedges")
    hand.unfold("wedge_length")
    hand.type("11", "in")
    hand.page.evaluate("() => { window.same = true }")

    bring_out_a_new_version(built)
    hand.page.evaluate("() => navigator.serviceWorker.getRegistration().then((found) => found.update())")
    strip = hand.page.locator(".strip").first
    expect(strip).to_contain_text("A new version is ready. It waits", timeout=SLOW)
    assert hand.page.evaluate("() => window.same")
    expect(hand.page.locator("#field-wedge_length")).to_have_value("11")

    hand.type(" 1/2", "in")
    hand.keep()
    fresh = hand.page.get_by_text("A new version is ready. Use it")
    expect(fresh).to_be_visible(timeout=SLOW)
    assert hand.page.evaluate("() => window.same")
    fresh.click()
    hand.page.wait_for_function("() => window.same === undefined", timeout=SLOW)
    expect(hand.page.locator("#reading-wedge_length .reading-said")).to_be_visible(timeout=SLOW)
    assert NEWER in hand.page.evaluate("() => fetch('/index.html').then((found) => found.text())")
