"""A kept sheet drawn again: from its layout alone, so that it is the same however the book has changed since."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.conf import settings
from django.utils.translation import override

from scionary.answers.label_sheets import sheet_called as label_sheet_called
from scionary.answers.labels import usual_preset
from scionary.book.models import Nursery, PrintedSheet
from scionary.errors import Refused
from scionary.files.bench_sheet import BenchSheetText, bench_sheet
from scionary.files.cards import CardDate, DomeCardText, dome_card
from scionary.files.labels import LabelText, label_sheet
from scionary.files.round_sheet import RoundDome, RoundRow, RoundSheetText, round_sheet
from scionary.files.tray_drawing import PotMark
from scionary.language import say


def sheet_pdf(sheet: PrintedSheet) -> bytes:
    """The sheet as it was printed."""
    return drawn(sheet.kind, sheet.layout)


def sheet_labels_pdf(sheet: PrintedSheet, nursery: Nursery) -> bytes:
    """The labels of a bench sheet's codes, each with lines to write on."""
    if sheet.kind != PrintedSheet.Kind.BENCH:
        raise Refused(
            say("only a bench sheet has codes that were set aside."),
            where=str(sheet),
            remedy=say("Print labels from the dome or bench day."),
        )
    labels = [LabelText("", code) for code in sheet.layout["text"]["codes"]]
    return label_sheet(labels, label_sheet_called(usual_preset(nursery)))


def drawn(kind: str, layout: Mapping[str, Any]) -> bytes:
    """The sheet in the language in which it was printed, whoever asks for it."""
    with override(layout.get("language") or settings.LANGUAGE_CODE):
        return _DRAW[kind](layout["text"])


def card_text_of(text: Mapping[str, Any]) -> DomeCardText:
    """A card's text as it came out of a layout."""
    pots = {name: [PotMark(**pot) for pot in text[name]] for name in ("pots", "beyond")}
    return DomeCardText(**{**text, **pots, "dates": [CardDate(**line) for line in text["dates"]]})


def round_text_of(text: Mapping[str, Any]) -> RoundSheetText:
    """A round sheet's text as it came out of a layout."""
    domes = [RoundDome(dome["name"], dome["stands"], [RoundRow(**row) for row in dome["rows"]]) for dome in text["domes"]]
    return RoundSheetText(**{**text, "domes": domes})


_DRAW: dict[str, Callable[[Mapping[str, Any]], bytes]] = {
    "dome_card": lambda text: dome_card(card_text_of(text)),
    "round": lambda text: round_sheet(round_text_of(text)),
    "bench": lambda text: bench_sheet(BenchSheetText(**text)),
}
