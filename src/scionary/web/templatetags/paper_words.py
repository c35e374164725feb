"""Words for printed sheets."""

from __future__ import annotations

from django import template

from scionary.book.models import BenchDay, Dome, PrintedSheet
from scionary.names.sheet_codes import sheet_grouped

register = template.Library()


@register.filter
def sheet_code(sheet: PrintedSheet) -> str:
    """The code in two groups."""
    return sheet_grouped(sheet.code)


@register.simple_tag
def sheets_of(about: Dome | BenchDay, most: int = 3) -> list[PrintedSheet]:
    """The sheets that were printed last of a dome, or of a bench day."""
    return list(about.printed.filter(retired=False).order_by("-printed_at")[:most])


@register.filter
def sheet_about(sheet: PrintedSheet) -> str:
    """What kind of sheet it is, and whose: Round sheet, Dome 1; names are those that stand on the paper."""
    text = sheet.layout["text"]
    names = {
        PrintedSheet.Kind.DOME_CARD: lambda: text["dome"],
        PrintedSheet.Kind.ROUND: lambda: ", ".join(dome["name"] for dome in text["domes"]),
        PrintedSheet.Kind.BENCH: lambda: text["title"].removeprefix("Bench: "),
    }
    return f"{sheet.get_kind_display().capitalize()}, {names[PrintedSheet.Kind(sheet.kind)]()}"
