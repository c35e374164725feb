"""A plan of opening that meets what happens: worked out anew from the log, closed and stretched when plants wilt."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from scionary.dome.fitted import DomeFit
from scionary.dome.harden import hardening_steps
from scionary.dome.outside import OutsideAir
from scionary.dome.spec import DomeSpec
from scionary.dome.vent_steps import DAY_S, NOT_WORKED_OUT, Basis, Met, VentStep
from scionary.errors import BadValue

STRETCH = 1.5  # project default, unsourced
REST_DAYS = 3.0  # project default, unsourced
BELIEVED = (0.5, 2.0)  # how far a log may correct what was expected


def replan(
    dome_fit: DomeFit | DomeSpec,
    outside: OutsideAir,
    steps: list[VentStep],
    *,
    now_s: float,
    observed_vpd_kpa: float,
    largest_vent_cm2: float = 200.0,
    rng: Any = 0,
) -> list[VentStep]:
    """Plan what is left of an opening anew from what the log saw.

    Parameters
    ----------
    dome_fit : DomeFit or DomeSpec
        The dome.
    outside : OutsideAir
        Weather of the days left, from `now_s` or before.
    steps : list of VentStep
        The plan so far.
    now_s : float
        Now [s].
    observed_vpd_kpa : float
        Mean deficit by day since the last step, from the log [kPa].
    largest_vent_cm2 : float
        All vents open [cm²].
    rng : int or numpy.random.Generator
        Seed; only for a dome without a log.

    Returns
    -------
    list of VentStep
        Steps done as they were, then the rest anew; nothing is added where the air is already as dry as was wanted.

    Raises
    ------
    BadValue
        When there is no plan, or its days are over.
    """
    if not steps:
        raise BadValue("steps", "no steps", "a plan that `hardening_steps` made")
    done = [each for each in steps if each.at_s <= now_s]
    left = len(steps) - len(done)
    end, days = steps[-1].wanted_kpa, (steps[-1].until_s - now_s) / DAY_S
    if not 0.0 <= observed_vpd_kpa <= 8.0:
        raise BadValue("observed_vpd_kpa", observed_vpd_kpa, "0 to 8 kPa")
    if left == 0 or observed_vpd_kpa >= end:
        return done
    ratio = observed_vpd_kpa / done[-1].expected.value if done and done[-1].expected.value > 0.0 else 1.0
    return done + hardening_steps(
        dome_fit,
        outside,
        start_vpd_kpa=observed_vpd_kpa,
        end_vpd_kpa=end,
        days=days,
        largest_vent_cm2=largest_vent_cm2,
        steps=left,
        start_s=now_s,
        demand_ratio=float(np.clip(ratio, *BELIEVED)) if np.isfinite(ratio) else 1.0,
        rng=rng,
    )


def wilted(steps: list[VentStep], index: int, *, now_s: float, rest_days: float = REST_DAYS, stretch: float = STRETCH) -> list[VentStep]:
    """Close a dome whose plants wilted at a step, let them rest, and stretch what is left.

    It goes on from the step before, which went well. What the steps will bring in the later weather is not worked out:
    `replan` does it when the time comes.

    Parameters
    ----------
    steps : list of VentStep
        The plan.
    index : int
        The step at which they wilted, from 0.
    now_s : float
        Now [s].
    rest_days : float
        Days closed, 0.5 to 30; project default, unsourced.
    stretch : float
        How many times longer each step lasts from now on, 1 to 5; project default, unsourced.

    Returns
    -------
    list of VentStep
        Steps that went well, the closing, then the rest.

    Raises
    ------
    BadValue
        When there is no such step, or rest or stretch are out of range.
    """
    if not 0 <= index < len(steps):
        raise BadValue("index", index, f"0 to {len(steps) - 1}, a step of the plan")
    if not 0.5 <= rest_days <= 30.0:
        raise BadValue("rest_days", rest_days, "0.5 to 30 days")
    if not 1.0 <= stretch <= 5.0:
        raise BadValue("stretch", stretch, "1 to 5")
    again = steps[max(index - 1, 0) :]
    begin = now_s + rest_days * DAY_S
    closed = replace(again[0], at_s=now_s, dull_at_s=None, until_s=begin, vent_cm2=0.0, share=0.0, wanted_kpa=0.0)
    closed = replace(closed, expected=NOT_WORKED_OUT, met=Met.UNKNOWN, basis=Basis.WILTED, open_minutes=None)
    origin = again[0].at_s

    rest = [
        replace(each, at_s=at, dull_at_s=None, until_s=until, expected=NOT_WORKED_OUT, met=Met.UNKNOWN)
        for each in again
        for at, until in [(begin + (each.at_s - origin) * stretch, begin + (each.until_s - origin) * stretch)]
    ]
    return [*steps[:index], closed, *rest]
