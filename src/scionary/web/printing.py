"""PDF answers, and which label sheet a person asks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse

from scionary.answers.label_cautions import label_cautions, print_cautions
from scionary.answers.label_sheets import OWN, own_sheet, sheet_called
from scionary.answers.labels import MOST_COPIES, SYMBOL_WORDS, usual_preset
from scionary.book.models import Nursery, Plant
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.files.grids import GRID_WORDS, SheetGrid
from scionary.language import say
from scionary.web.pages import nursery_of, today_at

# Fields of the form, which are those of the address: name, words, example in mm, example in inches.
_OWN_FIELDS = (
    ("columns", later("Labels across"), "3", "3"),
    ("rows", later("Labels down"), "8", "10"),
    ("label_width", later("Label width"), "63.5", "2 5/8"),
    ("label_height", later("Label height"), "33.9", "1"),
    ("left", later("Left margin"), "7.25", "3/16"),
    ("top", later("Top margin"), "12.9", "1/2"),
    ("gap_across", later("Gap across"), "2.5", "1/8"),
    ("gap_down", later("Gap down"), "0", "0"),
)
_LONGEST = 40


@dataclass(frozen=True)
class SheetForm:
    """The form for a label sheet as the page shows it: what was typed stays, with what is wrong about it, or what it comes to."""

    typed: dict[str, str]
    sheets: tuple[tuple[str, str], ...]
    symbols: tuple[tuple[str, str], ...]
    fields: tuple[tuple[str, str, str, str], ...]  # name, words, example, typed
    unit: str
    kept: bool
    wrong: str = ""
    comes_to: str = ""


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """A PDF that opens beside the page."""
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def sheet_wanted(request: HttpRequest, nursery: Nursery) -> dict[str, Any]:
    """Label sheet, first free place, symbol and copies, from the address or the form sent."""
    typed = _typed(request)
    wanted = {
        "start_at": _number(typed["first"], say("first label"), say("no place on a sheet"), 500) - 1,
        "symbol": typed["symbol"] or "qr",
        "copies": _number(typed["copies"], "copies", say("no number of copies"), MOST_COPIES),
    }
    if typed["sheet"] == OWN:
        return {"grid": own_sheet(typed, paper=nursery.paper, unit=nursery.length_unit), **wanted}
    return {"preset": typed["sheet"], **wanted}


def sheet_here(request: HttpRequest, nursery: Nursery) -> SheetGrid:
    """The sheet that the address keeps; the usual one where it keeps none, or none that can be."""
    try:
        wanted = sheet_wanted(request, nursery)
        return wanted.get("grid") or sheet_called(wanted["preset"] or usual_preset(nursery))
    except Refused:
        return sheet_called(usual_preset(nursery))


def before_printing(request: HttpRequest, plants: Sequence[Plant]) -> list[str]:
    """What to know before the labels of these plants are printed on the sheet that the address keeps."""
    nursery = nursery_of(request)
    return [
        *label_cautions(plants, nursery, today=today_at(request)),
        *print_cautions(plants, nursery, sheet_here(request, nursery)),
    ]


def sheet_form(request: HttpRequest, nursery: Nursery) -> SheetForm:
    """The form, filled in as the address says."""
    typed = _typed(request)
    kept = "sheet" in request.GET
    wrong = comes_to = ""
    if kept:
        try:
            wanted = sheet_wanted(request, nursery)
            grid = wanted.get("grid") or sheet_called(wanted["preset"] or usual_preset(nursery))
            if wanted["start_at"] >= grid.count:
                remedy = say("Give a place from 1 to {count}.", count=grid.count)
                raise Refused(say("the sheet has no place {place}.", place=wanted["start_at"] + 1), where=say("first label"), remedy=remedy)
            comes_to = say("It fits: {count} on a sheet. The address of this page keeps the sheet; bookmark it.", count=grid.count)
        except Refused as error:
            wrong = str(error)
    inches = nursery.length_unit == "in"
    fields = tuple((name, words, in_inches if inches else in_mm, typed[name]) for name, words, in_mm, in_inches in _OWN_FIELDS)
    sheets = (("", say("the usual one")), *GRID_WORDS.items(), (OWN, say("as I measured it")))
    return SheetForm(typed, sheets, tuple(SYMBOL_WORDS.items()), fields, nursery.length_unit, kept, wrong, comes_to)


def _typed(request: HttpRequest) -> dict[str, str]:
    names = ("sheet", "first", "symbol", "copies", "page", *(name for name, *_ in _OWN_FIELDS))
    given = request.POST if request.method == "POST" else request.GET
    return {name: given.get(name, "").strip()[:_LONGEST] for name in names}


def _number(text: str, where: str, said: str, most: int) -> int:
    text = text or "1"
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:6]) <= most:
        raise Refused(
            say("{typed!r} is {said}.", typed=text[:20], said=said),
            where=where,
            remedy=say("Give a number from 1.") if most > 9 else say("Give 1 to {most}.", most=most),
        )
    return int(text)
