"""What is wrong with a PDF that was printed in the language that nobody speaks."""

from __future__ import annotations

import calendar
import re

import pypdfium2

from pseudo import CLOSE, OPEN, outside

KNOWN = frozenset([*calendar.month_abbr, *calendar.day_abbr, "mm"])
MARGIN = 8 * 72 / 25.4
_WORD = re.compile(r"(?<![\w&#-])[A-Za-z]{2,}(?![\w-])")
_A_CODE = re.compile(r"\b(?:[A-Z0-9]{3} [A-Z0-9]{4}|S[A-Z0-9]{2} [A-Z0-9]{3})\b")
_NO_GLYPH = re.compile(rf"\S*(?:\?\?|\w\?\w|{OPEN}\?)\S*")  # a question mark of the program itself stands behind a word or alone


def wrong(pdf: bytes, what: str, margin: float = MARGIN, known: frozenset[str] = KNOWN) -> list[str]:
    """What is in English, cut, without a glyph, or drawn over the edge."""
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage().get_text_range()
        assert OPEN in text, what
        words = _WORD.findall(_A_CODE.sub("", outside(text)))
        found += [f"{what}: {word}" for word in words if word not in known]
        if text.count(OPEN) != text.count(CLOSE):
            found.append(f"{what}: cut in {text}")
        found += [f"{what}: no glyph: {each}" for each in _NO_GLYPH.findall(text)]
        width, height = page.get_size()
        bounds = [item.get_bounds() for item in page.get_objects()]
        beyond = [each for each in bounds if each[0] < margin or each[1] < margin or each[2] > width - margin or each[3] > height - margin]
        found += [f"{what}: drawn over the edge at {[round(side) for side in each]}" for each in beyond]
    return found
