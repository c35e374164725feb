"""What each column of a grower's own records holds: guessed from its header and its cells, corrected by the person."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from scionary.errors import BadValue
from scionary.files.past_counts import looks_like_count
from scionary.files.stamps import looks_like_date
from scionary.files.tables import CellValue, Table, cell_text
from scionary.language import say

IGNORE = "ignore"
STAGES = ("firm", "growing", "in_leaf")
ROLES = {
    "cultivar": "cultivar|variety|name|plant|tree|clone|selection|scion|kind|cv|sorte|maple|what|scion variety|plant name",
    "date": "date|grafted on|graft date|date grafted|day|when|datum|done on",
    "season": "season|year|jahr",
    "method": "method|graft type|type of graft|how|technique|cut|style|graft method|methode|type",
    "stock_lot": "rootstock|stock|understock|rootstock lot|stock lot|lot|batch|liner|root|unterlage|seedling",
    "grafts": "grafts|grafted|number grafted|no grafted|qty|quantity|how many|made|number made|n grafts|grafts made|number of grafts|done",
    "takes": "takes|took|taken|successes|alive|survived|living|success|number alive|number took|no took|survivors|result|count",
    "outcome": "outcome|result|status|state|did it take|take",
    "label": "label|tag|number|no|nr|id|code|plant no|tag no|label no",
    "place": "place|where|location|dome|tray|house|bench|bed|position",
    "note": "note|notes|remark|remarks|comment|comments|observation|observations|memo",
}
_STAGE_WORDS = {
    "in_leaf": "in leaf leafed spring leaf leaves overwintered next year following",
    "growing": "growing moving pushing shoot shoots grew growth",
    "firm": "firm callus calloused unwrapped uncovered weeks",
}
_REPEATED = ("grafts", "takes", "outcome", "date", "note")
_YEAR = re.compile(r"(?<!\d)(?:(19|20)(\d\d)|['’](\d\d))(?!\d)")


@dataclass(frozen=True)
class Role:
    """A column's role, written as ``takes``, ``takes 2024``, ``outcome in_leaf`` or ``takes 2024 firm``."""

    kind: str
    year: int | None = None
    stage: str | None = None

    def __str__(self) -> str:
        return " ".join(str(part) for part in (self.kind, self.year, self.stage) if part is not None)


def read_role(text: str) -> Role:
    """A role from its words."""
    kind, *more = text.split()
    year = next((int(word) for word in more if re.fullmatch(r"(?:19|20)\d\d", word)), None)
    stage = next((word for word in more if word in STAGES), None)
    if kind not in (*ROLES, IGNORE) or len(more) != (year is not None) + (stage is not None):
        raise BadValue(
            say("role of a column"),
            text,
            say("{roles}, with a year or one of {stages} behind it", roles=", ".join((*ROLES, IGNORE)), stages=", ".join(STAGES)),
        )
    return Role(kind, year, stage)


def suggest_columns(table: Table) -> dict[str, str]:
    """Guess what each column holds: header to role; several columns may share a role when year or stage tells them apart."""
    scored: list[tuple[float, str, Role]] = []
    for header in table.headers:
        year, rest = _year_of(header)
        cells = [cell_text(cell) for cell in table.column(header)]
        stage = _stage_of(rest)
        for kind, fits in _fits(rest, cells).items():
            staged = stage if kind in ("takes", "outcome") else None
            scored.append((fits, header, Role(kind, year if kind in _REPEATED else None, staged)))
    chosen: dict[str, Role] = {}
    for fits, header, role in sorted(scored, key=lambda one: -one[0]):
        if fits >= 60 and header not in chosen and (role not in chosen.values() or role.kind == "note"):
            chosen[header] = role
    chosen = _settle(table, chosen)
    return {header: str(chosen[header]) if header in chosen else IGNORE for header in table.headers}


def read_mapping(mapping: Mapping[str, str], table: Table) -> dict[str, Role]:
    """Check a mapping of headers to roles against the table; columns to ignore are left out."""
    unknown = [header for header in mapping if header not in table.headers]
    if unknown:
        raise BadValue("column", unknown[0], say("one of {headers}", headers=", ".join(table.headers)))
    roles = {header: read_role(mapping[header]) for header in table.headers if header in mapping}
    return {header: role for header, role in roles.items() if role.kind != IGNORE}


def _settle(table: Table, chosen: dict[str, Role]) -> dict[str, Role]:
    """A lone season in words stays a season; a column of dates called year is one of dates."""
    for header, role in chosen.items():
        if role.kind == "season" and Role("date") not in chosen.values() and _share(table.column(header), looks_like_date) > 0.5:
            chosen[header] = Role("date")
    return chosen


def _year_of(header: str) -> tuple[int | None, str]:
    found = _YEAR.search(header)
    if not found:
        return None, header
    year = int(found[1] + found[2]) if found[1] else 2000 + int(found[3])
    return year, (header[: found.start()] + " " + header[found.end() :]).strip(" -_:/")


def _plain(text: str) -> str:
    """Lower case, no accents, no marks, single spaces."""
    decomposed = unicodedata.normalize("NFKD", text.casefold().replace("#", " no ").replace("nº", " no "))
    return " ".join(re.sub(r"[^a-z0-9 ]+", " ", "".join(c for c in decomposed if not unicodedata.combining(c))).split())


def _stage_of(header: str) -> str | None:
    words = set(_plain(header).split())
    for stage, known in _STAGE_WORDS.items():
        if words & set(known.split()) - {"in", "next", "year", "following"}:
            return stage
    return None


def _fits(header: str, cells: Sequence[str]) -> dict[str, float]:
    """How well a column fits each role, from 0 to 100."""
    name = _plain(header)
    fits = {kind: fits_by_name(header, synonyms) for kind, synonyms in ROLES.items()}
    dates, counts, numbers = _share(cells, looks_like_date), _share(cells, looks_like_count), _share(cells, str.isdigit)
    distinct = len(set(filter(None, cells))) / max(sum(1 for cell in cells if cell), 1)
    if name == "" and counts > 0.5:
        fits["takes"] = 80.0
    fits["date"] = max(fits["date"] + (15 if dates > 0.3 else -30), 65.0 if dates > 0.7 else 0.0)
    fits["takes"] = max(fits["takes"] + (5 if counts > 0.5 or numbers > 0.5 else 0), 70.0 if counts > 0.6 else 0.0)
    fits["outcome"] += 10 if counts <= 0.5 and numbers <= 0.5 else -20
    if numbers > 0.6 and fits["label"] >= 60:
        fits["label"] += 10 if distinct > 0.95 else -45
        fits["grafts"] = max(fits["grafts"], 0.0 if distinct > 0.95 else 70.0)
    if _stage_of(header) and (counts > 0.3 or numbers > 0.3 or _share(cells, _is_outcome) > 0.5):
        fits["takes" if counts > 0.3 or numbers > 0.3 else "outcome"] = 90.0
    return fits


def _is_outcome(cell: str) -> bool:
    return cell.casefold().rstrip("?") in ("y", "n", "yes", "no", "ok", "took", "dead", "alive", "failed", "x", "")


def fits_by_name(header: str, synonyms: str) -> float:
    """100 for the very word, less for a word inside the header, a spelling near it least."""
    from rapidfuzz import fuzz

    name = _plain(header)
    if not name:
        return 0.0
    phrases = synonyms.split("|")
    if name in phrases:
        return 100.0 - 20.0 * phrases.index(name) / len(phrases)
    known = [phrase for phrase in phrases if " " not in phrase and len(phrase) > 2 and phrase != "how"]
    words = [word for word in name.split() if len(word) > 1]
    inside = [word for word in words if word in known]
    if inside:
        return 60.0 + 20.0 * len(inside) / len(words)
    near = max((fuzz.ratio(word, other) for word in words for other in known if len(word) > 4 and len(other) > 4), default=0.0)
    return near * 0.7 if near >= 85 else 0.0


def _share(cells: Sequence[CellValue], test: Callable[[str], bool]) -> float:
    filled = [text for text in (cell_text(cell) for cell in cells) if text]
    return sum(bool(test(text)) for text in filled) / len(filled) if filled else 0.0
