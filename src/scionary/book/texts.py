"""Texts that stand outside a function, where nobody reads yet: looked up each time they are shown."""

from __future__ import annotations

from typing import Any, cast

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy


def later(text: str, /, **fields: Any) -> str:
    """The text in the language of whoever reads it, looked up when it is shown; its braces are filled where fields are given."""
    found = gettext_lazy(text)
    return cast(str, format_lazy(found, **fields) if fields else found)
