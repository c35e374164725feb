"""Texts that stand outside a function, where nobody reads yet: looked up each time they are shown."""

from __future__ import annotations

from typing import cast

from django.utils.translation import gettext_lazy


def later(text: str) -> str:
    """The text in the language of whoever reads it, looked up when it is shown."""
    return cast(str, gettext_lazy(text))
