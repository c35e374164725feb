"""Tables of where plants come from and stand: mother trees, bags, stock lots, other names, domes, methods."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from operator import attrgetter
from typing import Any

from scionary.book.apart import open_marks
from scionary.book.models import Dome, Method, MotherTree, OtherName, RootstockLot, ScionBag
from scionary.book.settle import Record
from scionary.names import code_of

Columns = Mapping[str, Callable[[Any], Any]]

TREES: Columns = {
    "name": attrgetter("name"),
    "cultivar": attrgetter("cultivar"),
    "grew from": lambda tree: tree.raised_from.spoken if tree.raised_from else "",
    "sticks a season": attrgetter("sticks_a_season"),
    "grows in": lambda tree: tree.get_grows_in_display(),
    "soil": lambda tree: tree.get_soil_display(),
    "root depth mm": attrgetter("root_depth_mm"),
    "pot litres": attrgetter("pot_litres"),
    "pot mouth mm": attrgetter("mouth_mm"),
    "crown mm": attrgetter("crown_mm"),
}
BAGS: Columns = {
    "name": attrgetter("name"),
    "code": lambda bag: "" if bag.code_number is None else code_of(bag.code_number),
    "cultivar": attrgetter("cultivar"),
    "tree": attrgetter("tree"),
    "cut on": attrgetter("cut_on"),
    "cut at": attrgetter("cut_at"),
    "sticks": attrgetter("sticks"),
    "leaves": lambda bag: bag.get_care_display(),
    "kept in": attrgetter("stands"),
}
LOTS: Columns = {
    "name": attrgetter("name"),
    "species": attrgetter("species"),
    "pot": attrgetter("pot_kind"),
    "stocks": attrgetter("count"),
    "arrived on": attrgetter("arrived_on"),
    "diameter mm": attrgetter("diameter_mm"),
}
OTHER_NAMES: Columns = {
    "name": attrgetter("name"),
    "cultivar": attrgetter("cultivar"),
    "is": lambda other: other.get_kind_display(),
}
DOMES: Columns = {
    "name": attrgetter("name"),
    "stands": attrgetter("stands"),
    "length mm": attrgetter("length_mm"),
    "width mm": attrgetter("width_mm"),
    "height mm": attrgetter("height_mm"),
    "shade %": attrgetter("shade_pct"),
    "vents cm2": attrgetter("vents_cm2"),
    "heat mat W": attrgetter("mat_w"),
    "heat mat degrees C": attrgetter("mat_c"),
    "room degrees C": attrgetter("room_c"),
    "pot": attrgetter("pot_kind"),
}
METHODS: Columns = {
    "name": attrgetter("name"),
    "scion in leaf": attrgetter("leafy"),
    "cut from mm": attrgetter("cut_low_mm"),
    "cut to mm": attrgetter("cut_high_mm"),
    "nodes": attrgetter("scion_nodes"),
    "grafts a stick": attrgetter("grafts_a_stick"),
    "minutes a graft": attrgetter("minutes_a_graft"),
    "closed days": attrgetter("closed_days"),
    "hardening days": attrgetter("hardening_days"),
}
_ROWS: dict[str, tuple[Columns, Any, bool]] = {
    "trees": (TREES, MotherTree.objects.select_related("cultivar", "raised_from__cultivar"), True),
    "bags": (BAGS, ScionBag.objects.select_related("cultivar", "tree"), True),
    "lots": (LOTS, RootstockLot.objects.select_related("pot_kind"), True),
    "other-names": (OTHER_NAMES, OtherName.objects.select_related("cultivar"), False),
    "domes": (DOMES, Dome.objects.select_related("pot_kind"), False),
    "methods": (METHODS, Method.objects.all(), False),
}


def noun_tables() -> Iterator[tuple[str, Columns, Iterable[Any]]]:
    """Each table by its name, with its columns and rows; a tree, bag or lot says whether it is set apart or in doubt."""
    for name, (columns, rows, marked) in _ROWS.items():
        listed = list(rows.all())
        marks = _marks([row.key for row in listed]) if marked else {}
        yield (
            name,
            {**columns, **marks, "no longer used": attrgetter("retired"), "note": attrgetter("note"), "id": attrgetter("pk")},
            listed,
        )


def _marks(keys: list[str]) -> Columns:
    quarantined, doubted = open_marks(keys)
    return {"name in doubt": _reason(doubted), "in quarantine": _reason(quarantined)}


def _reason(found: Mapping[str, Record]) -> Callable[[Any], Any]:
    return lambda row: found[row.key].payload["reason"] if row.key in found else ""
