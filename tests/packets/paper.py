"""Packets taken apart again: their text, their pages, and what was logged while they were made."""

import io
import logging
import re
from contextlib import contextmanager

import pypdf
from trammel import packets


@contextmanager
def no_logs():
    """Fails where the typesetter had anything to say while a packet was made."""
    said = []

    class Ear(logging.Handler):
        def emit(self, record):
            said.append(record.getMessage())

    logger, ear = logging.getLogger("weasyprint"), Ear(logging.WARNING)
    logger.addHandler(ear)
    try:
        yield
    finally:
        logger.removeHandler(ear)
    assert said == []


class Paper:
    def __init__(self, pdf):
        self.pdf = pdf
        self.reader = pypdf.PdfReader(io.BytesIO(pdf))
        self.pages = [p.extract_text() for p in self.reader.pages]
        self.text = " ".join(" ".join(self.pages).split())
        self.close = re.sub(r"\s+", "", self.text)

    def has(self, *words):
        """Each of these stands on the paper, wherever its lines were broken; what does not is named."""
        assert [w for w in words if not self.says(w)] == []
        return True

    def says(self, words):
        return re.sub(r"\s+", "", words) in self.close

    def size(self):
        """Of every page, in whole points."""
        return {(round(p.mediabox.width), round(p.mediabox.height)) for p in self.reader.pages}


def printed(book, card_id, kind="filled", paper="A4", **more):
    with no_logs():
        return Paper(packets.make(book, card_id, kind, paper, **more))
