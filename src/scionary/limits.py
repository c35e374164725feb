"""Limits on sizes and times; each can be set in the environment as `SCIONARY_LIMIT_<NAME>`."""

from __future__ import annotations

import os

from scionary.errors import Refused

DEFAULTS: dict[str, tuple[int, str]] = {
    "file_bytes": (40_000_000, "largest file that is read, in bytes"),
    "form_bytes": (2_500_000, "largest form without its files, in bytes"),
    "form_fields": (5_000, "most fields in one form"),
    "table_rows": (200_000, "most rows read from one spreadsheet"),
    "table_columns": (400, "most columns of one spreadsheet"),
    "table_cells": (2_000_000, "most cells of one spreadsheet: rows times columns"),
    "table_unpacked_bytes": (300_000_000, "most bytes to which one spreadsheet may unpack"),
    "import_rows": (10_000, "most rows of past records or wishes taken in one go"),
    "logger_rows": (5_000_000, "most readings read from one logger file"),
    "batch_grafts": (500, "most grafts written down in one step"),
    "backup_bytes": (2_000_000_000, "largest content of a backup that is restored, in bytes"),
    "download_events": (20_000, "most events of a book that is taken home while the page waits"),
    "payload_bytes": (20_000, "largest payload of one event, in bytes"),
    "hand_events": (200, "most records that a phone sends at once"),
    "hand_bytes": (2_000_000, "largest parcel of records from a phone, in bytes"),
    "label_count": (2_000, "most labels in one print"),
    "photo_bytes": (30_000_000, "largest photo that is read, in bytes"),
    "photo_pixels": (60_000_000, "most points of one photo, its width times its height; of a PNG or WebP a third of that"),
    "photo_count": (8, "most photos read in one go"),
    "mark_plants": (5_000, "most plants that a page sets in quarantine or doubt in one step"),
    "page_rows": (100, "rows on one page of a list"),
    "plant_rows": (50, "plants on one page of the list of plants"),
    "login_tries": (5, "wrong passwords before a pause"),
    "login_wait_hours": (1, "length of that pause, in hours"),
    "log_bytes": (1_000_000, "size of one log file, in bytes"),
    "log_files": (5, "log files kept"),
}


def _read(name: str, default: int) -> int:
    text = os.environ.get(f"SCIONARY_LIMIT_{name.upper()}", "")
    if not text:
        return default
    if not text.isdecimal() or int(text) < 1:
        where = f"SCIONARY_LIMIT_{name.upper()}"
        raise Refused(f"{text[:40]!r} is no limit.", where=where, remedy="Give a whole number above zero, or leave it unset.")
    return int(text)


LIMITS: dict[str, int] = {name: _read(name, default) for name, (default, _) in DEFAULTS.items()}


def longest_request() -> int:
    """Four of the largest files that are read, with the form round them: a page refuses that in words and keeps what was typed with it."""
    return 4 * LIMITS["file_bytes"] + LIMITS["form_bytes"]
