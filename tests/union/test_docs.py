"""The page on joining says what the engine says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scionary.union import METHODS, SKILLS, TOLERANCE_MM, WANTED_MM, Stage, Stem, Way, advice, advice_when_moved

PAGE = (Path(__file__).resolve().parent.parent.parent / "docs" / "union.md").read_text(encoding="utf-8")
VENEER = METHODS["side_veneer"]


def told(skill):
    return advice(Stem(7.0), Stem(3.0), VENEER, stage=Stage.DORMANT, skill=SKILLS[skill], methods={}).chosen


def row_of(name):
    found = re.search(rf"^\| {name} \| (.+) \|$", PAGE, re.MULTILINE)
    assert found, name
    return found[1]


def way_words(way, lean_mm):
    return f"lean {lean_mm:.1f} mm" if way == Way.CROSSED else "straight"


def test_the_cut_is_as_long_and_as_deep_as_the_page_says():
    cuts = told("practised").to_dict()["cuts"]
    assert f"**{cuts['length_mm']:.0f} mm** long and only **{cuts['stock_depth_mm']:.1f} mm** deep" in PAGE


@pytest.mark.parametrize("skill", ["beginner", "practised", "experienced"])
def test_each_hand_s_best_way_and_chance(skill):
    offer, row = told(skill), row_of(skill)
    assert f"{100 * offer.best.chance:.0f} of 100" in row
    if offer.best.way is Way.CROSSED:
        straight = next(placement for placement in offer.placements if placement.way is Way.BOTH_SIDES)
        assert f"lean by {offer.best.lean_mm:.1f} mm" in row
        assert row.endswith(f"{100 * straight.chance:.0f}")
    else:
        assert row.startswith("straight, both lines")


def test_what_moves_when_the_unknowns_move():
    rows = advice_when_moved(Stem(7.0), Stem(3.0), VENEER, skill=SKILLS["practised"])
    for tolerance in (0.2, 0.5, 1.0):
        of_gap = [row for row in rows if row["tolerance_mm"] == tolerance]
        told_as = " | ".join(f"{way_words(row['way'], row['lean_mm'])}: {100 * row['chance']:.0f}" for row in of_gap)
        assert row_of(rf"{tolerance} mm") == told_as


def test_assumptions_stand_as_they_are():
    assert row_of("gap that callus bridges, \\*T\\*").startswith(f"{TOLERANCE_MM:g} mm")
    assert row_of("contact wanted").startswith(f"{WANTED_MM:g} mm")
    for name, skill in SKILLS.items():
        assert f"{name} {skill.error_mm:g}" in row_of("error of each end")
        assert f"{name} {skill.depth_error_mm:g}" in row_of("error of a cut's depth")


def test_every_method_stands_on_the_page():
    for method in METHODS.values():
        assert row_of(re.escape(method.name))


def test_the_caution_stands_before_the_first_cut():
    assert PAGE.index("Cut away from hand and body") < PAGE.index("Cut the stock's side")
