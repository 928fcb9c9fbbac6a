"""A hand on a phone: presses what a person would press, reads what a person would read.

It finds things by what they are for (a reading's name, the primary button at the thumb), never by where they
stand on the screen.
"""

import re
import time

from inside import stored
from playwright.sync_api import expect
from workings.quantities import UNITS

SLOW = 60_000


class Hand:
    def __init__(self, phone, url):
        self.phone, self.url = phone, url

    @property
    def page(self):
        return self.phone.page

    # --- going places ---------------------------------------------------------------------------------

    def open(self, path=""):
        """Loads the app anew, as from the home screen."""
        # From elsewhere, since another place of the same page would not load anything.
        self.page.goto("about:blank")
        self.page.goto(f"{self.url}/#/{path}")
        expect(self.page.locator("#main")).to_be_visible(timeout=SLOW)

    def go(self, path):
        """Another screen of the app that is open."""
        self.page.evaluate("(path) => { location.hash = `#/${path}` }", path)

    def at(self, card, place):
        """The step or hold point at a place of a card, once it is drawn."""
        end = place.replace("@", "%40")
        self.go(f"card/{card}/{end}")
        # The line of road makes room for the number pad where a reading is half typed.
        drawn = f".road [aria-current][href$='/{end}'], .page.collapsed"
        expect(self.page.locator(drawn).first).to_be_visible(timeout=SLOW)
        expect(self.page.locator("article.step, article.hold")).to_be_visible(timeout=SLOW)

    @property
    def primary(self):
        """The one act at the thumb."""
        return self.page.locator(".thumb .primary")

    # --- people ---------------------------------------------------------------------------------------

    def enrol(self, link, pin):
        self.page.goto(link)
        self.pin(pin, ".pinpad")
        # The second pad takes the first one's place: wait for it before typing.
        expect(self.page.locator(".pinpad .primary")).to_have_text("Make my key", timeout=SLOW)
        self.pin(pin, ".pinpad")
        expect(self.page.locator(".fingerprint")).not_to_be_empty(timeout=SLOW)
        self.primary.click()

    def pin(self, pin, where):
        pad = self.page.locator(where).last
        expect(pad.locator("input.pin")).to_have_value("")
        for digit in pin:
            pad.get_by_role("button", name=digit, exact=True).click()
        pad.locator("button.primary").click()

    def take_the_phone(self, name, pin):
        self.go("who")
        self.page.locator(".person-key", has_text=name).click()
        self.pin(pin, "dialog .pinpad")
        expect(self.page.locator("dialog")).to_have_count(0, timeout=SLOW)

    # --- work -----------------------------------------------------------------------------------------

    def read(self, name, text, unit):
        """Takes one reading: by the number pad, by the keyboard where it has letters, by a press where it
        is a word."""
        row = self.page.locator(f"#reading-{name}")
        field = self.page.locator(f"#field-{name}")
        if row.locator(".word-keys").is_visible():
            row.locator(".word-keys button").get_by_text(text, exact=True).click()
        else:
            self.unfold(name)
            self.type(text, unit)
            self.keep()
        expect(field).to_have_count(0, timeout=SLOW)
        expect(row.locator(".reading-said")).to_be_visible(timeout=SLOW)

    def unfold(self, name):
        """Opens the field of a reading; the one before may have opened it already, or another."""
        expect(self.page.locator(f"#reading-{name}, #field-{name}").first).to_be_visible(timeout=SLOW)
        if not self.page.locator(f"#field-{name}").is_visible():
            dock = self.page.locator(".dock-acts .second")
            if dock.is_visible():
                dock.click()
            self.page.locator(f"#reading-{name} .reading-line").click()
        expect(self.page.locator(f"#field-{name}")).to_be_visible()

    def type(self, text, unit):
        pad = self.page.locator(".dock .pad")
        if re.search("[a-z]", text):
            pad.locator(".pad-board").click()
            self.page.locator("form.reading.open .typing input").fill(text)
            return
        units = pad.locator(".pad-units [aria-pressed]:not(.pad-board)")
        if units.count() > 1:
            units.get_by_text(UNITS[unit][3], exact=True).click()
        for key in keys_of(text):
            pad.get_by_role("button", name=key, exact=True).click()

    def keep(self):
        expect(self.page.locator(".dock .primary")).to_be_enabled(timeout=SLOW)
        self.page.locator(".dock .primary").click()

    def choose_way(self, word):
        way = self.page.locator("#way")
        way.get_by_role("button", name=word, exact=True).click()
        expect(way.locator(".reading-said")).to_be_visible(timeout=SLOW)

    def finish_step(self):
        """Ticks what is to be ticked and says done; True when the step was said done."""
        boxes = self.page.locator(".check-box")
        for at in range(boxes.count()):
            if boxes.nth(at).get_attribute("aria-checked") == "false":
                boxes.nth(at).click()
                expect(boxes.nth(at)).to_have_attribute("aria-checked", "true", timeout=SLOW)
        return self.say_done()

    def say_done(self):
        heading = self.page.locator("article h1").inner_text()
        done = self.page.locator("button.primary", has_text="Done, go on")
        expect(done).to_be_enabled(timeout=SLOW)
        done.click()
        # Saying done goes on to the next place; its own line tells that it was kept.
        expect(self.page.locator("article h1")).not_to_have_text(heading, timeout=SLOW)

    def sign(self, name, pin):
        self.page.locator(".thumb button.primary", has_text="Sign").click()
        self.page.locator("dialog .person-key", has_text=name).click()
        self.pin(pin, "dialog .pinpad")
        expect(self.page.locator(".signal-board.is-clear")).to_be_visible(timeout=SLOW)

    # --- what stands there ----------------------------------------------------------------------------

    def is_off(self):
        """Whether this step is on a way that was not taken."""
        return self.page.locator(".standing strong").get_by_text("not on this way").is_visible()

    def is_hold(self):
        return self.page.locator("article.hold").is_visible()

    def all_sent(self):
        """Waits until the server has said of every line on this phone that it has it."""
        end = time.monotonic() + SLOW / 1000
        while waiting := [entry["hash"] for entry in stored(self.page, "entries") if "unsent" in entry]:
            assert time.monotonic() < end, f"{len(waiting)} lines have not been sent"
            time.sleep(0.1)
        expect(self.page.locator(".strip").first).to_contain_text("All sent", timeout=SLOW)


def keys_of(text):
    """The pad's keys for a number: "-1 7/16" -> plus or minus, 1, and, 7, over 16."""
    sign, rest = (["plus or minus"], text[1:]) if text.startswith("-") else ([], text)
    keys = []
    number, _, over = rest.partition("/")
    for letter in number:
        keys.append({" ": "and: next comes the fraction", ".": "point"}.get(letter, letter))
    if over:
        keys.append(f"over {over}")
    return [*keys, *sign]
