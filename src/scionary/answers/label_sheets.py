"""Which label sheet a person asks for: one by its name, or one that they measured."""

from __future__ import annotations

from collections.abc import Mapping

from scionary.errors import BadValue, Refused
from scionary.files.grids import GRID_WORDS, GRIDS, SheetGrid
from scionary.files.paper import page_size_mm
from scionary.language import Words, both, mark, say
from scionary.units import read_length_mm

OWN = "own"
_LENGTHS = Words(
    {
        "label_width": mark("label width"),
        "label_height": mark("label height"),
        "left": mark("left margin"),
        "top": mark("top margin"),
        "gap_across": mark("gap across"),
        "gap_down": mark("gap down"),
    }
)
_NEEDED = ("label_width", "label_height")


def sheet_called(name: str) -> SheetGrid:
    """The sheet of this name."""
    if name not in GRIDS:
        listed = "; ".join(f"{key} ({words})" for key, words in GRID_WORDS.items())
        raise Refused(
            say("no label sheet is called {name!r}.", name=name[:40]), where="sheet", remedy=say("Sheets: {sheets}.", sheets=listed)
        )
    return GRIDS[name]


def own_sheet(typed: Mapping[str, str], *, paper: str, unit: str = "mm") -> SheetGrid:
    """A sheet as a person measured it, from what they typed: rows, columns, page, and lengths with or without their unit.

    Without a gap labels touch; without a margin they stand in the middle of the page. What does not fit is refused with how much it
    overhangs.
    """
    page = _page(typed, paper, unit)
    counts = {name: _count(typed.get(name, ""), name) for name in (mark("columns"), mark("rows"))}
    lengths = {name: _length(typed.get(name, ""), name, unit) for name in _LENGTHS}
    missing = [say("the {length}", length=_LENGTHS[name]) for name in _NEEDED if lengths[name] is None]
    if missing:
        raise Refused(
            say("{missing} is not said.", missing=both(missing)),
            where="sheet",
            remedy=say("Measure one label and give it."),
        )
    across, down = lengths["gap_across"] or 0.0, lengths["gap_down"] or 0.0
    width, height = lengths["label_width"] or 0.0, lengths["label_height"] or 0.0
    page_width, page_height = page_size_mm(page)
    left, top = lengths["left"], lengths["top"]
    return measured_sheet(
        page=page,
        columns=counts["columns"],
        rows=counts["rows"],
        label_width_mm=width,
        label_height_mm=height,
        left_mm=_middle(page_width, counts["columns"], width, across) if left is None else left,
        top_mm=_middle(page_height, counts["rows"], height, down) if top is None else top,
        gap_across_mm=across,
        gap_down_mm=down,
    )


def measured_sheet(**lengths: float | str) -> SheetGrid:
    """A sheet of these lengths; what cannot be is refused naming the length."""
    try:
        return SheetGrid(**lengths)  # type: ignore[arg-type]
    except BadValue as error:
        raise Refused(f"{error}.", where="sheet", remedy=say("Measure the sheet again.")) from error


def _middle(page: float, count: int, label: float, gap: float) -> float:
    return max(0.0, (page - count * label - (count - 1) * gap) / 2.0)


def _page(typed: Mapping[str, str], paper: str, unit: str) -> str:
    """The page by its name, or its two sides: a roll, or an odd sheet."""
    asked = typed.get("page", "").strip() or paper
    if "x" in asked.lower().replace("×", "x"):
        sides = [_length(side, "page", unit) or 0.0 for side in asked.lower().replace("×", "x").split("x")[:2]]
        asked = "x".join(f"{side:.2f}" for side in sides)
    try:
        page_size_mm(asked)
    except BadValue as error:
        raise Refused(f"{error}.", where="page", remedy=say("Name the paper, or give its two sides.")) from error
    return asked


def _count(text: str, name: str) -> int:
    text = text.strip() or "1"
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:6]) <= 500:
        raise Refused(
            say("{typed!r} is no number of {what}.", typed=text[:20], what=say(name)), where=name, remedy=say("Give a whole number from 1.")
        )
    return int(text)


def _length(text: str, name: str, unit: str) -> float | None:
    if not text.strip():
        return None
    try:
        return read_length_mm(text[:40], unit)
    except BadValue as error:
        where = _LENGTHS.get(name, name)
        raise Refused(
            say("{typed!r} is no length.", typed=text[:40]), where=where, remedy=say("Write it like 63.5 mm or 2 1/2 in.")
        ) from error
