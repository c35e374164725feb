"""How far hands miss, as presets and as learned."""

from __future__ import annotations

import pytest

from scionary.errors import BadValue
from scionary.union import SKILLS, Skill, contact_assumptions, learned_skill, skill_called


def test_presets_grow_steadier_and_say_that_they_have_no_source():
    found = [skill_called(name) for name in ("beginner", "practised", "experienced")]
    assert [skill.error_mm for skill in found] == sorted((skill.error_mm for skill in found), reverse=True)
    assert all(skill.source == "project default, unsourced" for skill in SKILLS.values())


def test_without_measured_unions_the_preset_stands():
    assert learned_skill([], SKILLS["beginner"]) is SKILLS["beginner"]
    assert learned_skill([float("nan")], SKILLS["beginner"]) is SKILLS["beginner"]


def test_measured_misses_pull_the_preset_by_hand():
    """√((20 · 0.6² + 20 · 0.2²) / 40) = √0.2."""
    found = learned_skill([0.2, -0.2] * 10, SKILLS["beginner"])
    assert found.error_mm == pytest.approx(0.2**0.5)
    assert (found.depth_error_mm, found.unions, found.name) == (SKILLS["beginner"].depth_error_mm, 20, "learned")


def test_many_misses_outweigh_the_preset():
    assert learned_skill([0.3] * 5000, SKILLS["beginner"]).error_mm == pytest.approx(0.3, abs=2e-3)


def test_assumptions_have_sliders():
    rows = contact_assumptions(tolerance_mm=0.5, wanted_mm=5.0, skill=SKILLS["practised"])
    assert [row["name"] for row in rows] == ["tolerance_mm", "wanted_mm", "error_mm", "depth_error_mm"]
    assert all(row["low"] <= row["value"] <= row["high"] for row in rows)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: skill_called("wizard"), "skill is 'wizard'; allowed: beginner, practised, experienced"),
        (lambda: Skill("own", -0.1, 0.1), r"error_mm is -0\.1"),
        (lambda: Skill("own", 0.1, float("nan")), "depth_error_mm is nan"),
        (lambda: learned_skill(["far"], SKILLS["beginner"]), "misses_mm"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
