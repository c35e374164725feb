"""Tarn Bridge as it stands: two growers, their cultivars, mother trees, domes and wishes. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

NURSERY: dict[str, Any] = {
    "name": "Tarn Bridge",
    "latitude_deg": 47.2,
    "longitude_deg": 9.0,
    "altitude_m": 610.0,
    "time_zone": "Europe/Zurich",
    "length_unit": "mm",
    "temperature_unit": "C",
    "paper": "A4",
    "bench_hours_a_week": 6.0,
    "note": "An invented nursery with invented trees and people, to try things out.",
}
GROWERS = ("Maren", "Tobit")
MAREN_SHARE = 0.65  # of the domes that Maren fills

SUMMER = "Side graft, leafy, summer"
WINTER = "Side veneer, dormant, winter"
SMALL_POT = "4-inch square"
LARGE_POT = "One-gallon round"


@dataclass(frozen=True)
class Variety:
    """A cultivar of the nursery; `weight` is its share of the bench, `sticks` what each of its mother trees gives a season."""

    spoken: str
    species: str
    price: float | None
    weight: float
    trees: tuple[tuple[str, int | None], ...]

    @property
    def botanical(self) -> str:
        return f"{self.species} '{self.spoken}'"

    @property
    def genus(self) -> str:
        return self.species.split()[0]


_PALMATUM = "Acer palmatum"
_HAZEL = "Hamamelis × intermedia"
_BEECH = "Fagus sylvatica"

VARIETIES: tuple[Variety, ...] = (
    Variety("Red Tarn", _PALMATUM, 38.0, 10.0, (("by the gate", 30), ("pot by the well", 8))),
    Variety("Ash Gill", _PALMATUM, 36.0, 8.0, (("south wall", 24), ("upper terrace", 12))),
    Variety("Lanthorn", _PALMATUM, 42.0, 8.0, (("by the steps", 22), ("pot in the yard", 6))),
    Variety("Fell Lace", _PALMATUM, 48.0, 7.0, (("below the bridge", 20), ("young one", 5))),
    Variety("Merrybeck", _PALMATUM, 40.0, 6.0, (("by the beck", 18),)),
    Variety("Hollin Fire", _PALMATUM, 44.0, 5.0, (("upper terrace", 16),)),
    Variety("Copper Sike", _PALMATUM, 39.0, 4.0, (("east bed", 14),)),
    Variety("Wren Nook", _PALMATUM, 52.0, 3.0, (("pot by the door", 6),)),
    Variety("Cinder How", _PALMATUM, 45.0, 3.0, (("east bed", 12),)),
    Variety("Pale Intake", _PALMATUM, 41.0, 2.5, (("upper terrace", 10),)),
    Variety("Slate Veil", _PALMATUM, 55.0, 2.0, (("pot under the eaves", 5),)),
    Variety("Amber Knott", _PALMATUM, 43.0, 2.0, (("west bed", 9),)),
    Variety("Thrang Ember", _PALMATUM, 47.0, 1.5, (("west bed", 8),)),
    Variety("Dew Gimmer", _PALMATUM, None, 0.7, (("pot of a friend", None),)),
    Variety("Gold Scree", "Acer shirasawanum", 58.0, 2.5, (("north bed", 10),)),
    Variety("Moon Garth", "Acer shirasawanum", 62.0, 1.0, (("north bed", 5),)),
    Variety("Broad Keld", "Acer japonicum", 50.0, 2.0, (("by the barn", 12),)),
    Variety("Harvest Rigg", "Acer japonicum", 54.0, 1.0, (("by the barn", 8),)),
    Variety("Frost Ladle", _HAZEL, 34.0, 2.0, (("hedge", 12),)),
    Variety("Tallow Light", _HAZEL, 36.0, 1.5, (("hedge", 10),)),
    Variety("Rusty Latch", _HAZEL, 35.0, 1.0, (("end of the hedge", None),)),
    Variety("Dusk Mantle", _BEECH, 46.0, 1.5, (("old one on the hill", 20),)),
    Variety("Crooked Loan", _BEECH, 64.0, 1.0, (("behind the barn", 6),)),
    Variety("Fernwath", _BEECH, 49.0, 1.0, (("lower wood", 10),)),
)

# A mother tree that grew from a plant of the book, and the tree whose wood its own took the place of.
YOUNG_CULTIVAR, YOUNG_TREE, OLD_TREE = "Red Tarn", "Red Tarn, young one by the frame", "Red Tarn, pot by the well"
YOUNG_STICKS = 2

# The name that one is sold under, and one that somebody holds a right on.
SOLD_AS: dict[str, str] = {"Frost Ladle": "Winter Spoon"}
PROTECTED: dict[str, dict[str, Any]] = {
    "Slate Veil": {"protected": True, "protected_until": date(2038, 6, 30), "protection_register": "the variety register of the valley"}
}

# What the growers wrote down of their leaves; some traits and most cultivars they never did.
LOOKS: dict[str, dict[str, str]] = {
    "Red Tarn": {"lobes": "7", "cut": "half", "edge": "toothed", "spring": "red", "summer": "dark", "autumn": "red", "habit": "upright"},
    "Ash Gill": {"lobes": "7", "cut": "half", "edge": "toothed", "spring": "green", "summer": "green", "autumn": "orange"},
    "Lanthorn": {"lobes": "5", "cut": "shallow", "spring": "yellow", "summer": "yellow", "autumn": "yellow", "size": "middle"},
    "Fell Lace": {"cut": "deep", "edge": "lace", "spring": "green", "summer": "green", "autumn": "yellow", "habit": "weeping"},
    "Hollin Fire": {"lobes": "5", "cut": "half", "spring": "pink", "summer": "green", "autumn": "red", "pattern": "none"},
    "Slate Veil": {"cut": "deep", "edge": "lace", "spring": "dark", "summer": "dark", "autumn": "red", "habit": "weeping"},
    "Wren Nook": {"lobes": "5", "summer": "green", "pattern": "white", "size": "small", "habit": "dwarf"},
    "Gold Scree": {"lobes": "9", "cut": "shallow", "spring": "yellow", "summer": "yellow", "autumn": "orange", "size": "large"},
    "Broad Keld": {"lobes": "9", "cut": "half", "edge": "toothed", "summer": "green", "autumn": "red", "size": "large"},
    "Dusk Mantle": {"lobes": "none", "cut": "none", "edge": "smooth", "spring": "red", "summer": "dark"},
}
BY_NAME = {variety.spoken: variety for variety in VARIETIES}


_SHADE_PCT = 90.0  # of the sun, by the cloth on every dome
_ROOM_C = 20.0  # what the stove keeps the grafting room at, at least


@dataclass(frozen=True)
class Case:
    """A dome, its inside size, how many pots a session puts in it, and its sensor."""

    name: str
    stands: str
    length_mm: float
    width_mm: float
    filled: int
    sensor: str
    room_c: float | None = _ROOM_C
    sunnier: float = 1.0  # what it takes up of the sun, against its like
    shade_pct: float = _SHADE_PCT

    @property
    def made_of(self) -> dict[str, float | None]:
        """Its size, the cloth over it and the room around it, as they are written down."""
        return {"length_mm": self.length_mm, "width_mm": self.width_mm, "shade_pct": self.shade_pct, "room_c": self.room_c}


CASES: tuple[Case, ...] = (
    Case("Dome 1", "north window, upper shelf", 520.7, 266.7, 10, "Logger 1"),
    Case("Dome 2", "north window, lower shelf", 520.7, 266.7, 10, "Logger 2", sunnier=1.5),
    Case("Dome 3", "bench by the door", 520.7, 266.7, 10, "Logger 3"),
    Case("Dome 4", "bench by the stove", 520.7, 266.7, 9, "Logger 4"),
    Case("Bench case", "heated bench", 900.0, 520.0, 25, "Logger 5"),
    Case("Long case", "shade house", 1250.0, 640.0, 36, "Logger 6", room_c=None, shade_pct=95.0),
)

TESTED = CASES[0]  # its logger spent a night in a jar with wet salt

# A lot's letter: species, stocks, usual thickness in mm, and the genus that is grafted on it.
LOTS: dict[str, tuple[str, int, float, str]] = {
    "A": ("Acer palmatum, two-year seedlings", 150, 6.5, "Acer"),
    "B": ("Acer palmatum, three-year seedlings", 130, 8.5, "Acer"),
    "H": ("Hamamelis virginiana, seedlings", 24, 7.0, "Hamamelis"),
    "F": ("Fagus sylvatica, seedlings", 24, 7.5, "Fagus"),
}
LOT_A_SHARE = 0.55

# Cultivar, wanted, method, how sure; two ask for more than the trees or stocks give.
WISHES: tuple[tuple[str, int, str | None, float], ...] = (
    ("Red Tarn", 20, SUMMER, 0.9),
    ("Ash Gill", 12, SUMMER, 0.9),
    ("Lanthorn", 12, WINTER, 0.9),
    ("Fell Lace", 10, SUMMER, 0.8),
    ("Merrybeck", 8, SUMMER, 0.8),
    ("Hollin Fire", 6, None, 0.8),
    ("Wren Nook", 10, SUMMER, 0.9),
    ("Slate Veil", 4, SUMMER, 0.8),
    ("Gold Scree", 5, WINTER, 0.8),
    ("Dew Gimmer", 2, None, 0.8),
    ("Frost Ladle", 15, WINTER, 0.9),
    ("Crooked Loan", 3, WINTER, 0.8),
)
