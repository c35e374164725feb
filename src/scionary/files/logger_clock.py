"""Whose clock a logger file's times are in, where header or rows say it."""

from __future__ import annotations

import re
from datetime import timedelta, timezone

import numpy as np

from scionary.files.logger_columns import Layout
from scionary.files.stamps import Stamps

_HEADER_OFFSET = re.compile(r"\b(?:GMT|UTC)\s*(?:([+-])\s*(\d{1,2})(?::?(\d\d))?)?", re.IGNORECASE)


def zone_named(layout: Layout) -> timezone | None:
    """An offset from UTC named in the header of the times."""
    found = _HEADER_OFFSET.search(" ".join(layout.header(column) for column in layout.stamp_columns))
    if not found:
        return None
    offset = timedelta(hours=int(found[2] or 0), minutes=int(found[3] or 0))
    return timezone(-offset if found[1] == "-" else offset) if offset < timedelta(hours=15) else None


def own_clock(stamps: Stamps, layout: Layout) -> tuple[bool, float | None]:
    """Whether header or rows say how far they are from UTC, and how far where that is one number."""
    written = stamps.offset_s[np.isfinite(stamps.offset_s)]
    if written.size:
        same = written.size == stamps.offset_s.size and (written == written[0]).all()
        return True, float(written[0]) if same else None
    named = zone_named(layout)
    return named is not None, named.utcoffset(None).total_seconds() if named is not None else None
