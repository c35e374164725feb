"""A kept sheet as the page lays it out: its rows with what is ticked, its tray, its dates, what is done to whole domes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from scionary.answers.paper_drawn import card_text_of
from scionary.answers.paper_rows import SheetRow, Since
from scionary.answers.paper_ticks import EITHER
from scionary.answers.rounds import CAUSES, KEYS
from scionary.book.models import PrintedSheet
from scionary.files.cards import boxes_are_listed
from scionary.language import say
from scionary.web.paper.forms import Typed


@dataclass(frozen=True)
class Box:
    """A box of a row; one that is not on the paper has no words."""

    said: str
    words: str
    ticked: bool
    key: str = ""
    either: str = ""


@dataclass(frozen=True)
class ShownRow:
    """A row with what is typed in it, what has become of its plant, and whether it is the one that cannot be taken."""

    row: SheetRow
    boxes: list[Box]
    typed: dict[str, str]
    since: Since | None
    wrong: bool


def shown_sheet(
    sheet: PrintedSheet, rows: list[SheetRow], typed: Typed, since: dict[int, Since], wrong: int, today: date
) -> dict[str, Any]:
    """What the template draws; `wrong` is the number of the row that cannot be taken, 0 for none."""
    columns = list(dict.fromkeys(box for row in rows for box in row.boxes)) if sheet.kind != PrintedSheet.Kind.ROUND else _columns(sheet)
    listed = [ShownRow(row, _boxes(row, columns, typed), _texts(row, typed), since.get(row.number), row.number == wrong) for row in rows]
    return {
        "columns": [(words, KEYS.get(said, "")) for said, words in columns],
        "rows": listed,
        "domes": _domes(sheet, listed, typed),
        "tray": _tray(sheet, listed),
        "dates": _dates(sheet, typed, today),
        "day": _one(typed, "day"),
        "causes": [say(cause) for cause in CAUSES],
    }


def _columns(sheet: PrintedSheet) -> list[tuple[str, str]]:
    return [(said, say(words)) for said, words in sheet.layout["text"]["boxes"]]


def _boxes(row: SheetRow, columns: list[tuple[str, str]], typed: Typed) -> list[Box]:
    ticked, there = typed.get(f"r{row.number}", []), dict(row.boxes)
    return [
        Box(
            said,
            words if said in there else "",
            said in ticked,
            KEYS.get(said, ""),
            " ".join(str(i) for i, e in enumerate(EITHER) if said in e),
        )
        for said, words in columns
    ]


def _texts(row: SheetRow, typed: Typed) -> dict[str, str]:
    """The row's own fields: cause, or those of a bench row; of the blade what is ticked."""
    names = {"cause": "c", "made": "m", "stock": "s", "scion": "i", "cut": "l", "lean": "k", "above": "a", "blade": "b", "note": "o"}
    return {words: _one(typed, f"{name}{row.number}") for words, name in names.items()}


def _domes(sheet: PrintedSheet, rows: list[ShownRow], typed: Typed) -> list[dict[str, Any]]:
    """Each dome of a round with its rows and what is ticked for the whole of it; of a card its name and its note."""
    if sheet.kind == PrintedSheet.Kind.BENCH:
        return []
    text = sheet.layout["text"]
    card = sheet.kind == PrintedSheet.Kind.DOME_CARD
    names = [text["dome"]] if card else [dome["name"] for dome in text["domes"]]
    grouped = {at: list(each) for at, each in groupby(rows, key=lambda shown: shown.row.dome)}
    return [
        {
            "at": at,
            "name": name,
            "rows": grouped.get(at, []),
            "whole": [] if card else [(said, say(words), said in typed.get(f"w{at}", [])) for said, words in text["whole"]],
            "vents_ticked": bool(_one(typed, f"v{at}")),
            "vents": [] if card else [(str(pct), say(words), _one(typed, f"v{at}") == str(pct)) for pct, words in text["vents"]],
            "treated": "treated" in typed.get(f"w{at}", []),
            "product": _one(typed, f"p{at}"),
            "note": _one(typed, f"n{at}"),
        }
        for at, name in enumerate(names)
    ]


def _tray(sheet: PrintedSheet, rows: list[ShownRow]) -> dict[str, Any] | None:
    """The pots of a card in rows as they stand on the tray, the near side last; or in the columns in which the paper lists them."""
    if sheet.kind != PrintedSheet.Kind.DOME_CARD:
        return None
    text, left = sheet.layout["text"], iter(rows)
    if boxes_are_listed(card_text_of(text)):
        return {"listed": rows, "columns": 3 if len(rows) > 8 else 2}
    pots = [{"pot": pot, "shown": None if pot["free"] else next(left)} for pot in text["pots"]]
    ordered = sorted(pots, key=lambda each: (round(each["pot"]["y_mm"]), each["pot"]["x_mm"]))
    lines = [list(line) for _, line in groupby(ordered, key=lambda each: round(each["pot"]["y_mm"]))]
    return {"lines": lines, "front": say(text["front"])}


def _dates(sheet: PrintedSheet, typed: Typed, today: date) -> list[dict[str, Any]]:
    """The dates of a card whose box means something that is written down, each with its day."""
    if sheet.kind != PrintedSheet.Kind.DOME_CARD:
        return []
    lines = zip(sheet.layout["dates"], sheet.layout["text"]["dates"], strict=True)
    return [
        {
            "at": at,
            "when": text["date"],
            "what": text["what"],
            "ticked": bool(typed.get(f"t{at}")),
            "day": _one(typed, f"e{at}") or min(line["day"], today.isoformat()),
        }
        for at, (line, text) in enumerate(lines)
        if line["done"]
    ]


def _one(typed: Typed, name: str) -> str:
    return next(iter(typed.get(name, [])), "")
