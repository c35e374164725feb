"""What to do about a dome: shade first, vents second, and water before it runs dry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from typing import Any

from scionary.dome.fitted import DomeFit
from scionary.dome.foretell import Outlook, what_will_happen, with_shade
from scionary.dome.outside import OutsideAir
from scionary.dome.spec import DomeSpec
from scionary.errors import BadValue

SHADES = (0.0, 0.25, 0.5, 0.75, 0.9)
VENT_SHARES = (0.25, 0.5, 1.0)
TOP_UP_BELOW = 0.6  # project default, unsourced


class Act(StrEnum):
    """One thing that a person can do."""

    SHADE = "shade"
    VENT = "vent"
    WEIGH = "weigh a pot"
    WATER = "top up"
    LOOK = "look at the water weekly"


@dataclass(frozen=True)
class Action:
    """One thing to do, as numbers.

    Attributes
    ----------
    act : Act
        What.
    to : float
        Share of sun taken away by shade (0 to 1), open area of vents [cm²], grams that leave the tray a day for a weighed
        pot, or millimetres that stand in the tray for water; NaN where nothing is measured.
    before : float
        The same as it stands; NaN where nothing stands.
    by_s : float or None
        Latest moment [s]: before the heat, or before the tray is dry; None: no date.
    """

    act: Act
    to: float
    before: float
    by_s: float | None


@dataclass(frozen=True)
class Advice:
    """What to do about one dome.

    Attributes
    ----------
    actions : tuple of Action
        In the order in which to do them; empty: nothing to do, or the chance of heat is unknown (NaN) and nothing can be said.
    now : Outlook
        What happens if nothing is done.
    then : Outlook
        What happens when it is.
    enough : bool
        False: even so the heat limit is passed too often, move the dome; or nobody knows.
    accepted_chance : float
        Chance of heat that was accepted; project default, unsourced.
    """

    actions: tuple[Action, ...]
    now: Outlook
    then: Outlook
    enough: bool
    accepted_chance: float


@dataclass(frozen=True)
class PotWater:
    """What a weighed pot says before it is topped up.

    Attributes
    ----------
    lost_g : float
        Water gone since it was full [g], which is what to give back.
    share_left : float
        Water left over what it holds, 0 to 1; NaN where its dry weight is not known.
    top_up : bool or None
        Whether less is left than `TOP_UP_BELOW`; None where the dry weight is not known.
    """

    lost_g: float
    share_left: float
    top_up: bool | None


def what_to_do(
    dome: DomeFit | DomeSpec,
    outside: OutsideAir | Sequence[OutsideAir],
    vents_cm2: float,
    *,
    largest_vent_cm2: float,
    heat_limit_c: float = 30.0,
    accepted_chance: float = 0.1,
    from_s: float | None = None,
    rng: Any = 0,
) -> Advice:
    """Find the least that keeps a dome below its heat limit: more shade, and only then wider vents.

    Parameters
    ----------
    dome : DomeFit or DomeSpec
        The dome, with its present shade and water.
    outside : OutsideAir or sequence of OutsideAir
        Weather to come, as in `what_will_happen`.
    vents_cm2 : float
        Vents as they stand [cm²].
    largest_vent_cm2 : float
        Vents when all are open [cm²].
    heat_limit_c : float
        Above this callus is harmed [°C]; grower guides, weak.
    accepted_chance : float
        Chance of heat that is let pass, 0 to 1; project default, unsourced.
    from_s : float or None
        Beginning of what is asked [s].
    rng : int or numpy.random.Generator
        Seed; only for a dome without a log.

    Returns
    -------
    Advice
        Actions with numbers, and what happens without and with them.

    Raises
    ------
    BadValue
        When vents stand wider than their largest, or an argument is out of range.
    """
    if not 0.0 <= vents_cm2 <= largest_vent_cm2:
        raise BadValue("vents_cm2", vents_cm2, f"0 to the largest, {largest_vent_cm2:g} cm²")
    spec = with_shade(dome, None)

    ahead = partial(_ahead, dome, outside, heat_limit_c, from_s, rng)
    now = then = ahead(spec.shade_share, vents_cm2)
    shade, vents = spec.shade_share, vents_cm2
    for trial in (share for share in SHADES if share > spec.shade_share):
        if not then.chance_of_heat > accepted_chance:  # where nobody knows it, nothing is advised
            break
        shade, then = trial, ahead(trial, vents)
    for trial in (share * largest_vent_cm2 for share in VENT_SHARES if share * largest_vent_cm2 > vents_cm2):
        if not then.chance_of_heat > accepted_chance:  # where nobody knows it, nothing is advised
            break
        vents, then = trial, ahead(shade, trial)
    actions = [
        Action(act, to, before, now.hottest_at_s)
        for act, to, before in ((Act.SHADE, shade, spec.shade_share), (Act.VENT, vents, vents_cm2))
        if to != before
    ]
    return Advice((*actions, *_water(spec, then)), now, then, then.chance_of_heat <= accepted_chance, accepted_chance)


def pot_water(now_g: float, full_g: float, dry_g: float | None = None) -> PotWater:
    """Read a pot's weight before topping up.

    Parameters
    ----------
    now_g, full_g : float
        Weight now and when it was full and had drained [g].
    dry_g : float or None
        Weight with the mix as dry as it may get [g].

    Returns
    -------
    PotWater
        What is gone, and whether to top up.

    Raises
    ------
    BadValue
        When the weights cannot be one pot's.
    """
    if not 0.0 < now_g <= 1.02 * full_g:
        raise BadValue("now_g", now_g, f"above 0, and no more than the pot weighed when full, {full_g:g} g")
    if dry_g is None:
        return PotWater(max(full_g - now_g, 0.0), float("nan"), None)
    if not 0.0 <= dry_g < full_g:
        raise BadValue("dry_g", dry_g, f"0 to less than the full pot's {full_g:g} g")
    left = min(max((now_g - dry_g) / (full_g - dry_g), 0.0), 1.0)
    return PotWater(max(full_g - now_g, 0.0), left, left < TOP_UP_BELOW)


def _ahead(
    dome: DomeFit | DomeSpec,
    outside: OutsideAir | Sequence[OutsideAir],
    limit: float,
    from_s: float | None,
    rng: Any,
    shade: float,
    vents: float,
) -> Outlook:
    return what_will_happen(dome, outside, vents, shade_share=shade, heat_limit_c=limit, from_s=from_s, rng=rng)


def _water(spec: DomeSpec, then: Outlook) -> tuple[Action, ...]:
    standing = float("nan") if spec.water_mm is None else spec.water_mm
    if then.water_unknown:
        return (Action(Act.LOOK, float("nan"), standing, None),)
    if spec.water_mm is None or then.dry_at_s is None:
        return ()
    a_day = float("nan") if then.water_g_day is None else then.water_g_day
    return Action(Act.WEIGH, a_day, float("nan"), then.dry_at_s), Action(Act.WATER, standing, standing, then.dry_at_s)
