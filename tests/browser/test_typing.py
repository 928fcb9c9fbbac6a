"""What is typed wrong gets its message on the phone, under the field, and is not kept."""

import pytest
from hand import SLOW, Hand
from inside import lines
from playwright.sync_api import expect

# place, reading, what is typed, what the message must say
WRONG = [
    ("tackle", "haul_limit", "15 ton", "short"),
    ("tackle", "haul_limit", "15 thou", "not a force"),
    ("tackle", "haul_limit", "heavy", "heavy"),
    ("wedges", "wedge_length", "12,5", "point"),
    ("wedges", "wedge_length", "1 1/0", "1/0"),
    ("wedges", "wedge_length", "12 lb", "not a length"),
    ("frame-heat", "frame_temperature", "58 in", "not a temperature"),
]


@pytest.fixture
def hand(server, railway, phones):
    railway.open_card(rods=["rod-2-3"])
    railway.holder.push()
    phone = phones("mechanic")
    phone.start()
    made = Hand(phone, server.url)
    made.enrol(railway.invite("wenna"), "135790")
    expect(made.page.locator(".card-line")).to_have_count(1, timeout=SLOW)
    made.all_sent()
    return made


def test_each_bad_input_gets_its_message_and_is_not_kept(hand):
    before = lines(hand.page)
    for place, name, text, words in WRONG:
        hand.at("63-side-rods", place)
        hand.unfold(name)
        field = hand.page.locator(f"#field-{name}")
        field.fill(text)
        said = hand.page.locator(f"#echo-{name} .echo-no")
        expect(said).to_contain_text(words, timeout=SLOW)
        hand.keep()
        expect(hand.page.locator(".reading.open .refusal")).to_contain_text(words, timeout=SLOW)
        field.fill("")
    assert lines(hand.page) == before


def test_what_is_typed_is_read_back_in_the_other_system(hand):
    for place, name, text, echo in [
        ("wedges", "wedge_length", "12", "304.8 mm"),
        ("wedges", "wedge_length", "3 5/16", "84.1 mm"),
        ("frame-heat", "frame_temperature", "58", "14.44 °C"),
    ]:
        hand.at("63-side-rods", place)
        hand.unfold(name)
        hand.page.locator(f"#field-{name}").fill(text)
        expect(hand.page.locator(f"#echo-{name}")).to_contain_text(echo, timeout=SLOW)
        hand.page.locator(f"#field-{name}").fill("")
