"""Stems of a file: a table in any dialect, or the lines that a person types; each with the file's own line where it cannot be read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from scionary.answers.join_typed import UNITS, doubt_words, stem_reading
from scionary.answers.stems_typed import MOST_STEMS, StemLine, described
from scionary.errors import BadFile, Refused
from scionary.files.decoding import decode_text
from scionary.files.spreadsheets import read_table
from scionary.files.stem_rows import SCIONS, STOCKS, StemRow, looks_like_table, place, read_stem_rows
from scionary.language import say


@dataclass(frozen=True)
class FileStems:
    """The stems of a table, and what is to ask about."""

    scions: Sequence[StemLine] = ()
    stocks: Sequence[StemLine] = ()
    doubts: Sequence[str] = ()


NO_FILE = FileStems()


def text_or_table(data: bytes, name: str, unit: str) -> str | FileStems:
    """Lines to be read under their titles, or the stems of a table; `unit` holds where the table names none."""
    if unit not in UNITS:
        raise Refused(say("{unit!r} is no unit.", unit=unit[:20]), where="unit", remedy=say("Give mm, in or 64ths."))
    if not looks_like_table(data, name):
        return decode_text(data, name=name)[0]
    rows = read_stem_rows(read_table(data, name=name))
    if sum(row.count for row in rows) > 2 * MOST_STEMS:
        raise BadFile(say("more than {most} stems.", most=MOST_STEMS), where=name, remedy=say("Match them in parts."))
    doubts: list[str] = []
    sides = {side: _side([row for row in rows if row.side == side], name, unit, doubts) for side in (SCIONS, STOCKS)}
    return FileStems(sides[SCIONS], sides[STOCKS], doubts)


def _side(rows: Sequence[StemRow], name: str, unit: str, doubts: list[str]) -> list[StemLine]:
    found: list[StemLine] = []
    for row in rows:
        stem = _stem(row, name, unit, doubts)
        found += [replace(stem, label=_label(row, one, len(found) + one)) for one in range(1, row.count + 1)]
    twice = next((label for label, count in Counter(stem.label for stem in found).items() if count > 1), None)
    if twice is not None:
        line = next((row.line for row in reversed(rows) if row.label == twice), 1)
        remedy = say("Number the stems as they stand, or leave the column out.")
        raise BadFile(say("{label!r} stands there twice.", label=twice[:40]), where=place(name, line, ""), remedy=remedy)
    return found


def _stem(row: StemRow, name: str, unit: str, doubts: list[str]) -> StemLine:
    where = place(name, row.line, row.column)
    thickness = stem_reading(where, row.size, row.unit or unit) if row.size else None
    if thickness is not None and thickness.doubt:
        doubts.append(f"{where}: {doubt_words(thickness)}")
    said, lot, pot = row.name or (row.lot if row.side == STOCKS else ""), row.lot.casefold() or None, row.pot.casefold() or None
    stem = StemLine("", None, said=said, lot=lot, pot=pot, first=row.first)
    return replace(described(stem, row.side), thickness_mm=thickness.thickness_mm if thickness else None)


def _label(row: StemRow, one: int, standing: int) -> str:
    """What the file calls a stem, else where it stands."""
    if not row.label:
        return str(standing)
    return row.label[:40] if row.count == 1 else f"{row.label[:40]}.{one}"
