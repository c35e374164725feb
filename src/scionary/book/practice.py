"""Defaults of a new book: methods with their after-care, and pot kinds. All of it is data that a person edits.

Every number here is common practice without a published source, unless its `source` says otherwise. Growers
contradict each other: where they do, the practices stand side by side and the person picks.
"""

from __future__ import annotations

from typing import Any

from scionary.language import mark

COMMON = mark("common practice, no source")
DEFAULT = mark("project default, unsourced")
MM = 25.4

POT_KINDS: list[dict[str, Any]] = [
    {"name": "4-inch square", "shape": "square", "across_mm": 98.4, "litres": 0.8, "note": "Sold as 4 inch; one measured 3 7/8 in across."},
    {"name": "One-gallon round", "shape": "round", "across_mm": 6.5 * MM, "litres": 2.8, "note": "A trade gallon is about 3 US quarts."},
]


def _step(step: str, day: int, say: str, why: str, **more: Any) -> dict[str, Any]:
    return {"step": step, "day": day, "say": say, "why": why, "source": COMMON, **more}


_HEALING = [
    _step("check", 7, "Look in: water, mould, fallen leaf stalks", "Mould and drying out show in the first weeks.", every=7, until=30),
    _step("firm", 31, "Check which are firm", "After about a month closed a failed scion has shrivelled or lost its colour."),
    _step(
        "vent",
        31,
        "Open the vents a third, in the evening or on a dull day",
        "Air is let in by degrees, first when the sun cannot wilt them.",
        open_pct=33,
    ),
    _step("vent", 36, "Open the vents two thirds", "One step at a time; close again if a scion wilts.", open_pct=67),
    _step("vent", 41, "Open the vents fully", "Last step before the cover comes off.", open_pct=100),
    _step("vent", 45, "Take the cover off", "They have stood with open vents for some days.", open_pct=100, cover_off=True),
]
_IN_LEAF = _step(
    "in_leaf",
    60,
    "See which are in leaf this spring",
    "Only the next spring shows which took: a scion can leaf on its reserves and collapse.",
    counted_from="spring equinox",
)
_POT_ON = _step(
    "pot_on",
    80,
    "Pot on those whose roots fill the pot",
    "A pot full of roots dries out fast and holds growth back; a graft that came into leaf is worth the larger pot.",
    counted_from="spring equinox",
)
_SUMMER = [
    *_HEALING,
    _step(
        "water",
        7,
        "Top up the water under the grid to 6–13 mm",
        "The air stays moist while the pots stand clear.",
        every=7,
        until=31,
        practice="Shallow water under a raised grid",
    ),
    _step(
        "water",
        7,
        "Lift a pot: water only if it is light",
        "Wet stocks drown; the weight tells.",
        every=7,
        until=31,
        practice="No standing water",
    ),
    _step(
        "head_back", 60, "Cut the stock back above the union, one or two nodes left", "It dies back to the next node, so leave one or two."
    ),
    _step("untie", 90, "Loosen or cut the tie", "A tie that is left strangles the stem."),
    _IN_LEAF,
    _POT_ON,
]
_WINTER = [
    *_HEALING,
    _step("untie", 90, "Loosen or cut the tie", "A tie that is left strangles the stem."),
    _step(
        "head_back", 75, "Cut the stock back above the union, one or two nodes left", "It dies back to the next node, so leave one or two."
    ),
    _IN_LEAF,
    _POT_ON,
]
_WATER = {
    "topic": "Water in the tray",
    "picked": "Shallow water under a raised grid",
    "practices": [
        {
            "name": "Shallow water under a raised grid",
            "says": "6 to 13 mm of water stands in the tray, the pots clear of it.",
            "source": COMMON,
        },
        {"name": "No standing water", "says": "The tray stays dry; pots are watered when they are light.", "source": COMMON},
    ],
}
_BLADES = {
    "topic": "Leaves on the scion",
    "picked": "Blades off, stalks stay",
    "practices": [
        {"name": "Blades off, stalks stay", "says": "A stalk that later drops at a touch says that the scion is alive.", "source": COMMON},
        {"name": "Half a blade stays", "says": "Some leave half of each blade, to feed the scion; it needs moister air.", "source": COMMON},
    ],
}
_WRAP = {
    "topic": "Film wrap",
    "picked": "Each turn overlaps by half",
    "practices": [
        {"name": "Each turn overlaps by half", "says": "Film is wound so that each turn covers half of the last.", "source": COMMON}
    ],
}

METHODS: list[dict[str, Any]] = [
    {
        "name": "Side graft, leafy, summer",
        "joins": "side_inlay",
        "leafy": True,
        "cut_low_mm": 13.0,
        "cut_high_mm": 19.0,
        "scion_nodes": 3,
        "grafts_a_stick": 1.5,
        "minutes_a_graft": 5.0,
        "ratio_low": 0.3,
        "ratio_high": 1.0,
        "closed_days": 31,
        "hardening_days": 14,
        "after_care": _SUMMER,
        "practices": [_WATER, _BLADES, _WRAP],
        "note": "A cut under the bark of 13–19 mm; the scion carries three nodes, cut just above the fourth.",
    },
    {
        "name": "Side veneer, dormant, winter",
        "joins": "side_veneer",
        "leafy": False,
        "cut_low_mm": 20.0,
        "cut_high_mm": 35.0,
        "scion_nodes": 3,
        "grafts_a_stick": 2.0,
        "minutes_a_graft": 5.0,
        "ratio_low": 0.3,
        "ratio_high": 1.0,
        "closed_days": 31,
        "hardening_days": 14,
        "after_care": _WINTER,
        "practices": [_WRAP],
        "note": "Dormant stocks stay dry: a wet stock bleeds at the cut.",
    },
]

# How long writing on a label lasts, in months, hung in the sun and in the shade; None: it does not fade. A person edits these.
LABEL_MEDIA: list[dict[str, Any]] = [
    {"medium": "ordinary marker", "months_sun": 3.0, "months_shade": 9.0, "source": COMMON},
    {"medium": "UV-resistant ink", "months_sun": 24.0, "months_shade": 36.0, "source": COMMON},
    {"medium": "pencil", "months_sun": None, "months_shade": None, "source": COMMON},
    {"medium": "printed", "months_sun": 12.0, "months_shade": 24.0, "source": COMMON},
]
LABEL_WEEKS_BEFORE: dict[str, Any] = {"weeks_before": 4.0, "source": DEFAULT}  # a label is due so long before it begins to fade
