"""How far a hand and a knife miss, and the other things that nobody knows: all of them assumptions that a person can move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.units import as_floats, check_range, refuse_where

UNSOURCED = mark("project default, unsourced")
TOLERANCE_MM = 0.5
TOLERANCE_SOURCE = mark(
    "project default, unsourced: a gap that callus bridges, 0.2 to 1 mm; the cambium itself is thinner, "
    "about 0.03 to 0.1 mm (3 to 5 cells at rest, 10 to 13 in growth, in beech)"
)
WANTED_MM = 5.0
PRESET_WEIGHT = 20.0  # project default, unsourced: so many scored unions weigh as much as the preset


@dataclass(frozen=True)
class Skill:
    """How far a person misses.

    Attributes
    ----------
    name : str
        A preset's key, or ``learned``.
    error_mm : float
        Standard deviation of where each end of the scion's cut comes to lie across the face [mm]; the two ends err
        independently.
    depth_error_mm : float
        Standard deviation of the depth of a cut [mm].
    source : str
        Where the numbers are from.
    unions : int
        Scored unions that they were learned from.
    """

    name: str
    error_mm: float
    depth_error_mm: float
    source: str = UNSOURCED
    unions: int = 0

    def __post_init__(self) -> None:
        """Refuse errors that no hand makes."""
        for name, value in (("error_mm", self.error_mm), ("depth_error_mm", self.depth_error_mm)):
            error = check_range(name, value, 0.0, 50.0, "mm")
            refuse_where(np.isnan(error), name, error, say("0 to 50 mm"))


SKILLS: dict[str, Skill] = {
    "beginner": Skill("beginner", 0.6, 0.25),
    "practised": Skill("practised", 0.35, 0.15),
    "experienced": Skill("experienced", 0.2, 0.08),
}


def skill_called(name: str) -> Skill:
    """Look a preset up.

    Parameters
    ----------
    name : str
        ``beginner``, ``practised`` or ``experienced``.

    Returns
    -------
    Skill
        The preset.

    Raises
    ------
    BadValue
        When there is none of that name.
    """
    if name not in SKILLS:
        raise BadValue("skill", name, ", ".join(SKILLS))
    return SKILLS[name]


def learned_skill(misses_mm: Sequence[float], start: Skill, *, depth_misses_mm: Sequence[float] = ()) -> Skill:
    """Learn a person's errors from unions that were cut open or measured.

    Parameters
    ----------
    misses_mm : sequence of float
        How far an end of a scion's cut lay from where it was meant to lie [mm], either sign; NaN: not measured.
    start : Skill
        What is assumed before, usually a preset.
    depth_misses_mm : sequence of float
        The same of depths of cuts [mm].

    Returns
    -------
    Skill
        √((n₀ s₀² + Σ x²) / (n₀ + n)) with n₀ = `PRESET_WEIGHT`: the mean variance under a scaled inverse chi-squared prior.
    """
    error, seen = _learned(start.error_mm, misses_mm)
    depth, seen_depth = _learned(start.depth_error_mm, depth_misses_mm)
    if not seen + seen_depth:
        return start
    source = say(
        "{count} measured misses, and {start} ({source}) counted as {weight}",
        count=seen + seen_depth,
        start=start.name,
        source=say(start.source),
        weight=f"{PRESET_WEIGHT:g}",
    )
    return Skill("learned", error, depth, source, seen + seen_depth)


def _learned(start_mm: float, misses_mm: Sequence[float]) -> tuple[float, int]:
    seen = as_floats("misses_mm", list(misses_mm))
    seen = seen[~np.isnan(seen)]
    mean = (PRESET_WEIGHT * start_mm**2 + float(np.sum(seen**2))) / (PRESET_WEIGHT + len(seen))
    return float(np.sqrt(mean)), len(seen)


def assumption(name: str, value: float, unit: str, source: str, **more: float) -> dict[str, Any]:
    """One assumption as plain values.

    Parameters
    ----------
    name : str
        The argument that a person can change.
    value : float
        What was taken.
    unit : str
        Its unit.
    source : str
        Where it is from.
    **more : float
        ``low`` and ``high`` of a slider.

    Returns
    -------
    dict
        ``name``, ``value``, ``unit``, ``source`` and what was added.
    """
    return {"name": name, "value": value, "unit": unit, "source": source, **more}


def contact_assumptions(*, tolerance_mm: float, wanted_mm: float, skill: Skill) -> tuple[dict[str, Any], ...]:
    """What every chance of contact rests on.

    Parameters
    ----------
    tolerance_mm : float
        Gap that callus bridges [mm].
    wanted_mm : float
        Contact that is wanted [mm].
    skill : Skill
        Errors of the hand.

    Returns
    -------
    tuple of dict
        Each with ``name``, ``value``, ``unit``, ``source``, and ``low`` and ``high`` of its slider.
    """
    return (
        assumption("tolerance_mm", tolerance_mm, "mm", TOLERANCE_SOURCE, low=0.1, high=1.0),
        assumption("wanted_mm", wanted_mm, "mm", mark("project default, unsourced: how many are needed is unknown"), low=1.0, high=20.0),
        assumption("error_mm", skill.error_mm, "mm", skill.source, low=0.05, high=1.5),
        assumption("depth_error_mm", skill.depth_error_mm, "mm", skill.source, low=0.0, high=0.6),
    )
