"""One change of vents: when, how far, what it is for, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from scionary.dome.foretell import Ranged

DAY_S = 86400.0


class Met(StrEnum):
    """Whether a step gives the demand that was wanted."""

    AS_WANTED = "as wanted"
    DRIER_EVEN_CLOSED = "drier than wanted even closed: shade it"
    LARGEST_NOT_ENOUGH = "moister than wanted even wide open"
    UNKNOWN = "not worked out"


class Basis(StrEnum):
    """What a step rests on."""

    DOME_AND_WEATHER = "this dome in this weather"
    WILTED = "it wilted"
    COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class VentStep:
    """One change of vents.

    Attributes
    ----------
    at_s : float
        When: the evening on which the step begins, or its first moment where no sun is known [s].
    dull_at_s : float or None
        First light of the first dull day within the step, better still than the evening [s]; None: none is foreseen.
    until_s : float
        When the next step is due [s].
    vent_cm2, share : float
        Open area [cm²], and its share of the largest.
    wanted_kpa : float
        Vapour pressure deficit by day that the step is for [kPa]; NaN for common practice.
    expected : Ranged
        What it will be in this weather [kPa]; NaN where it was not worked out.
    met : Met
        Whether that is what was wanted.
    basis : Basis
        What the step rests on.
    open_minutes : float or None
        Minutes a morning for which the dome is opened; None: the vents stay as they are.
    """

    at_s: float
    dull_at_s: float | None
    until_s: float
    vent_cm2: float
    share: float
    wanted_kpa: float
    expected: Ranged
    met: Met
    basis: Basis
    open_minutes: float | None = None


NOT_WORKED_OUT = Ranged(float("nan"), float("nan"), float("nan"))
