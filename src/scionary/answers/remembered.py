"""Answers kept in memory under the hash of function, version, arguments, seed and language; never facts."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from typing import Any, TypeVar

from django.core.cache import cache
from django.utils.translation import get_language

from scionary.language import speaks_english

T = TypeVar("T")


def language() -> str:
    """The language in which texts come now, for the key of what is kept of them."""
    return "" if speaks_english() else str(get_language())


def remembered(function: str, version: int, arguments: dict[str, Any], compute: Callable[[], T], *, seed: int = 0) -> T:
    """What `compute` gives, taken from memory when the same question was asked of the same facts before."""
    canonical = json.dumps([function, version, arguments, seed, language()], sort_keys=True, default=str)
    key = "answer:" + hashlib.sha256(canonical.encode()).hexdigest()
    found = cache.get(key)
    if found is None:
        found = (compute(),)
        cache.set(key, found, timeout=None)
    return found[0]
