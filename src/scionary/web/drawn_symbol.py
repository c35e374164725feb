"""A QR symbol for a page: black on white in every theme, with its quiet border, as one path."""

from __future__ import annotations

from django.utils.html import format_html
from django.utils.safestring import SafeString

from scionary.files.symbols import QUIET_MODULES, qr_modules
from scionary.language import say


def symbol_svg(text: str) -> SafeString:
    """The symbol that says this text; the text stands beside it on the page too."""
    dark = qr_modules(text)
    side = dark.shape[0] + 2 * QUIET_MODULES
    rows = ((y, x) for y, row in enumerate(dark) for x, is_dark in enumerate(row) if is_dark)
    path = "".join(f"M{x + QUIET_MODULES} {y + QUIET_MODULES}h1v1h-1z" for y, x in rows)
    words = say("QR symbol: {text}", text=text)
    return format_html('<svg class="symbol" viewBox="0 0 {0} {0}" role="img" aria-label="{1}"><path d="{2}"/></svg>', side, words, path)
