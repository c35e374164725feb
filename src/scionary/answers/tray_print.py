"""A tray to print: a map on one page, or at full size to lay under the pots."""

from __future__ import annotations

from scionary.answers.tray import TrayAnswer
from scionary.errors import BadValue
from scionary.files.tray_sheet import DrawnPot, TraySheetText, tray_full_size, tray_map
from scionary.language import say


def tray_pdf(answer: TrayAnswer, *, full_size: bool = False, page: str = "A4", printed: str = "") -> bytes:
    """The PDF of a tray's places."""
    if not answer.pots:
        raise BadValue("pots", answer.sentence, say("a tray on which a pot stands"))
    pots = [
        DrawnPot(pot.place, pot.x_mm, pot.y_mm, answer.across_mm(pot), answer.ask.pots[pot.kind].round, pot.too_low) for pot in answer.pots
    ]
    lines = [*answer.why, *answer.flags]
    sheet = TraySheetText(answer.sentence, answer.ask.length_mm, answer.ask.width_mm, pots, lines, printed, page, answer.unit)
    return tray_full_size(sheet) if full_size else tray_map(sheet)
