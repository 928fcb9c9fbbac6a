"""Every piece of a packet, on a small job."""

import hashlib
import subprocess
import sys

import pytest
from packets.paper import Paper, no_logs, printed
from packets.pin import PROCEDURE, TEXT, Pin
from trammel import packet_pages, packets
from workings import entries as form
from workings import procedure as reader
from workings.errors import WorkingError


@pytest.fixture(scope="module")
def job():
    return Pin().measured().pressed().signed()


@pytest.fixture(scope="module")
def filled(job):
    return printed(job.book, "pin-1")


@pytest.fixture(scope="module")
def blank(job):
    return printed(job.book, "pin-1", "blank")


def changed(do):
    """The filled packet of a signed job to which something has happened."""
    job = Pin().measured().pressed().signed()
    do(job)
    job.ann.meet(job.bea, job.cy)
    return job, printed(job.book, "pin-1")


def test_the_cover_says_which_job_this_is(filled, job):
    assert filled.has("No. 7", "0-6-0", "A new pin", "Fit a pin in a side rod, version 3", "card pin-1", "closed")
    assert filled.has(job.version[:12], "The responsible engineer has the last word.", "the shop's own", "American")
    assert filled.has("Press", "Lamp", "Oil", "Most play", "0.010 in", "trammel:card:pin-1")


def test_every_page_is_numbered_and_names_job_and_root_key(filled, job):
    of = len(filled.pages)
    fingerprint = form.fingerprint(job.root_kid)
    for n, text in enumerate(filled.pages, 1):
        close = text.replace(" ", "").replace("\n", "")
        for words in (f"Page {n} of {of}", "No. 7 · A new pin · card pin-1", fingerprint):
            assert words.replace(" ", "") in close, (n, words)


def test_readings_stand_with_limits_verdict_uncertainty_hands_and_gauge(filled):
    assert filled.has("2.503 in ± 0.002 in", "2.000 in to 3.000 in", "The drawing", "inside")
    assert filled.has("Cy Court · Ann Ames", "4 May 2031 08:00", "free", "good")
    assert filled.has("Micrometer no. 7", "0.001 in", "± 0.002 in", "2031-01-31")


def test_fractions_are_set_as_fractions(filled):
    assert "7 5⁄16 in" in filled.text


def test_a_table_of_tries_shows_every_try(filled):
    assert filled.has("2.511 in", "try 2", "2.508 in")


def test_woven_and_judged_values_stand_in_the_step(filled):
    assert filled.has("The pin has 5 thou of play. Mind the side rods.", "0.005 in ± 0.0028 in", "0.000 in to 0.010 in")


def test_cautions_checks_and_the_witness_point_are_there(filled):
    for caution in PROCEDURE["sections"][0]["steps"][0]["cautions"]:
        assert filled.has(caution["signal"].upper(), caution["words"])
    assert filled.has("No stopping.", "1 Hands clear", "2 Pin home", "Ann Ames · 4 May 2031", "Done. Ann Ames")
    assert filled.has("The inspector looks", "witness point", "He may watch.")


def test_a_signature_stands_with_its_key_and_what_it_covers(filled, job):
    assert filled.has("Clear", "Signed by Bea Bright", form.fingerprint(job.bea.kid), "Did the work Ann Ames, Cy Court")
    assert filled.has("2 ticks and 2 said done", "Pin across: 2.503 in", "The pin is in and stays in.")


def test_the_working_is_told_in_full(filled):
    assert filled.has("The working in full", "Play = Bore of the bush − Pin across", "= 2.508 in − 2.503 in = 5 thou")
    assert filled.has(
        "Bore of the bush 50 %, Pin across 50 %", "Readings behind it Cy Court: Bore of the bush 2.508 in"
    )


def test_every_entry_stands_in_the_history(filled, job):
    assert filled.has("Every entry", "replaced")
    lines = job.book.about("card:pin-1")
    assert len(lines) > 10
    assert filled.has(*[f"{e.hash[:8]} · {e.kid[:4]}" for e in lines])


def test_hands_are_named_with_their_keys(filled, job):
    assert filled.has("Hands", "Bea Bright lead", form.fingerprint(job.ann.kid), "measured; another wrote")


def test_a_replaced_reading_stays_legible_and_fells_the_arm():
    job, paper = changed(lambda job: job.read("pin", "2.504"))
    assert paper.has("2.503 in replaced", "2.504 in", "Lapsed", "Was signed by Bea Bright", "Why the arm fell:")
    assert paper.has("came since: Pin across: 2.504 in", "no longer counts: Pin across: 2.503 in")
    assert paper.has("Name", "Signature", "When")


def test_a_struck_out_line_says_who_and_why():
    def strike(job):
        job.ann.say("strike-out", entry=job.read("reach", "7 1/2"), why="the rule slipped")

    job, paper = changed(strike)
    assert paper.has("7 1⁄2 in", "struck out by Ann Ames: the rule slipped")


def test_a_concession_is_printed_with_its_lead_and_marked_as_the_signers_own():
    def concede(job):
        job.read("bore", "2.520")
        job.bea.meet(job.ann)
        job.bea.say("concession", "measure", name="play", why="until the new bush is here", until="close")
        job.ann.meet(job.bea)
        job.ann.say("said-done", "measure")
        job.pressed().signed()

    job, paper = changed(concede)
    assert paper.has("outside", "conceded by Bea Bright until this card's close: until the new bush is here")
    assert paper.has("The signer's own decisions concession on Play, by Bea Bright")


def test_two_readings_made_apart_both_stand():
    def apart(job):
        job.cy.meet(job.ann)
        job.read("pin", "2.504")
        job.cy.say("reading", "measure", name="pin", text="63.65", unit="mm", measured_by="cy")

    job, paper = changed(apart)
    assert paper.has("2.504 in", "typed 63.65 mm", "Two readings stand side by side; a lead chooses.")
    assert paper.has("To be seen to")


def test_notes_and_doubts_are_printed():
    def say(job):
        job.ann.say("note", "measure", text="Oil hole <b>half</b> shut & cleaned")
        job.ann.say("doubt", "measure", name="play", why="the bore is not round")

    job, paper = changed(say)
    assert paper.has("Oil hole <b>half</b> shut & cleaned", "Open doubts", "the bore is not round")


def test_a_blank_has_none_of_the_readings_and_a_place_for_each(blank, job):
    assert blank.has("Blank packet", "Bore of the bush", "Pin across", "2.000 in to 3.000 in", "good: free", "0.010 in")
    assert blank.has("5 in · · The last try counts.", "Initials", "Name", "Signature", "When", "Covers 1 Measure")
    assert blank.has("Play = Bore of the bush − Pin across")
    for words in ("2.508", "2.503", "5⁄16", "Cy Court · Ann Ames", "Signed by", "Every entry", "5 thou"):
        assert not blank.says(words), words


def test_a_blank_has_boxes_and_lines_to_write_on(job):
    page = packets.html(packet_pages.of_card(job.book, "pin-1", True), "A4")
    assert page.count('class="box"') == 5 + 2 + 1  # tries, numbers, the judged value
    assert page.count("box to tick") >= 2 + 2 + 3  # checks, words, verdict
    assert 'class="signature"' in page


def test_a_procedure_without_a_card_can_be_printed_blank():
    procedure = reader.read(TEXT)
    with no_logs():
        paper = Paper(packets.make_blank(procedure, vocabulary="british"))
    assert paper.has("Fit a pin in a coupling rod", "Mind the coupling rods.", "British", "Page 1 of")
    assert not paper.says("Root key") and not paper.says("card specimen")
    assert paper.reader.trailer["/Root"]["/Lang"] == "en-GB"


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_the_paper_is_the_one_asked_for(job, paper, size):
    assert printed(job.book, "pin-1", "blank", paper).size() == {size}


def test_the_code_takes_the_address_of_the_shop(job):
    assert printed(job.book, "pin-1", base_url="https://shop.example/").has("https://shop.example/#/card/pin-1")


def test_every_letter_is_embedded_and_the_pdf_is_tagged(filled):
    root = filled.reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and root["/StructTreeRoot"] and root["/Lang"] == "en-US"
    assert filled.reader.metadata.title == "No. 7, A new pin, packet"
    fonts = {}
    for page in filled.reader.pages:
        fonts.update(page["/Resources"]["/Font"])
    for font in fonts.values():
        inner = font.get_object()["/DescendantFonts"][0].get_object()
        assert "Atkinson" in inner["/BaseFont"] or "Noto" in inner["/BaseFont"]
        assert {"/FontFile2", "/FontFile3"} & set(inner["/FontDescriptor"].get_object())


def test_every_picture_says_what_it_shows(filled):
    figures, todo = [], [filled.reader.trailer["/Root"]["/StructTreeRoot"]]
    while todo:
        node = todo.pop().get_object()
        if not isinstance(node, dict):
            continue
        if node.get("/S") == "/Figure":
            figures.append(node.get("/Alt"))
        kids = node.get("/K", [])
        todo += [k for k in (kids if isinstance(kids, list) else [kids]) if not isinstance(k, int)]
    assert len(figures) > 10 and all(figures)
    assert "semaphore, Clear" in figures and "QR code: trammel:card:pin-1" in figures


def test_the_dates_inside_are_those_of_the_last_entry(filled, job):
    last = max(e.at for e in job.book.about("card:pin-1"))
    stamp = "".join(c for c in last if c.isdigit())
    assert filled.reader.metadata["/CreationDate"].startswith(f"D:{stamp}")


AGAIN = """
import hashlib, sys
sys.path[:0] = {path!r}
from packets.pin import Pin
from trammel import packets
print(hashlib.sha256(packets.make(Pin().measured().pressed().signed().book, "pin-1")).hexdigest())
"""


def test_the_same_card_gives_the_same_bytes_here_and_in_another_process(filled, job):
    assert packets.make(job.book, "pin-1") == filled.pdf
    # Sets are walked in another order there.
    run = subprocess.run([sys.executable, "-c", AGAIN.format(path=sys.path)], capture_output=True, text=True,
                         env={"PYTHONHASHSEED": "7"}, check=True)  # fmt: skip
    assert run.stdout.strip() == hashlib.sha256(filled.pdf).hexdigest()


def test_bad_wishes_are_refused_by_name(job):
    with pytest.raises(WorkingError, match="kind: half is not accepted here; give blank or filled"):
        packets.make(job.book, "pin-1", "half")
    with pytest.raises(WorkingError, match="paper: A5 is not accepted here; give A4 or Letter"):
        packets.make(job.book, "pin-1", "blank", "A5")
    with pytest.raises(WorkingError, match="There is no card nothing here"):
        packets.make(job.book, "nothing")


def test_a_card_that_waits_for_its_procedure_says_so(job):
    book = type(job.book)(job.root_kid)
    for line in job.ann.held():
        book.take(line)
    with pytest.raises(WorkingError, match="waits for its procedure version"):
        packets.make(book, "pin-1")


def test_nothing_outside_the_packets_own_files_is_fetched():
    fetcher = packets.OnlyOurs()
    for url in ("https://example.org/a.png", "file:///etc/hostname", packets.TEMPLATES.as_uri() + "/packet.css"):
        with pytest.raises(ValueError, match="own files alone"):
            fetcher.fetch(url)
