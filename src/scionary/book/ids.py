"""Identifiers made where a record is written: UUID version 7 (RFC 9562, section 5.7)."""

from __future__ import annotations

import secrets
import threading
import time
import uuid

_lock = threading.Lock()
_last: tuple[int, int] = (0, 0)  # millisecond, counter


def uuid7() -> uuid.UUID:
    """A new identifier, always greater than the last one made in this process.

    The first 48 bits are the Unix time in milliseconds, the next 12 a counter within the millisecond (RFC 9562,
    section 6.2, method 1), the rest random: events written one after another keep their order.
    """
    global _last
    with _lock:
        milliseconds = max(time.time_ns() // 1_000_000, _last[0])
        counter = _last[1] + 1 if milliseconds == _last[0] else 0
        if counter > 0xFFF:
            milliseconds, counter = milliseconds + 1, 0
        _last = (milliseconds, counter)
    value = (milliseconds & ((1 << 48) - 1)) << 80
    value |= 0x7 << 76
    value |= counter << 64
    value |= 0b10 << 62
    value |= secrets.randbits(62)
    return uuid.UUID(int=value)
