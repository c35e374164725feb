"""Texts that stand outside a function, as pages use them."""

from scionary.book.texts import later

__all__ = ["later"]
