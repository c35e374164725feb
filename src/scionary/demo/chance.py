"""Chance that does not depend on order: every thing draws from its own stream, named by the seed and a word."""

from __future__ import annotations

import hashlib
from datetime import datetime
from uuid import UUID

import numpy as np


def stream(seed: int, word: str) -> np.random.Generator:
    """A generator of its own for a word."""
    return np.random.default_rng(int.from_bytes(hashlib.sha256(f"{seed}/{word}".encode()).digest()[:16], "big"))


def derived_id(moment: datetime, word: str, number: int = 0) -> UUID:
    """An identifier in the form of UUID version 7 that is the same whenever the demo is made again."""
    rest = int.from_bytes(hashlib.sha256(word.encode()).digest()[:8], "big") & ((1 << 62) - 1)
    value = (int(moment.timestamp() * 1000) & ((1 << 48) - 1)) << 80
    value |= 0x7 << 76
    value |= (number & 0xFFF) << 64
    value |= 0b10 << 62
    return UUID(int=value | rest)
