"""Opening a dome where no log stands behind: rules of common practice, and who may open at all."""

from __future__ import annotations

from dataclasses import dataclass

from scionary.dome.vent_steps import DAY_S, NOT_WORKED_OUT, Basis, Met, VentStep
from scionary.errors import BadValue

AIRING_MINUTES = (5.0, 8.0, 12.0, 15.0)  # five minutes a morning rising to fifteen: a nut growers' meeting, 1950
CLOSED_DAYS = 28.0  # the same source props the case from about week four


@dataclass(frozen=True)
class Opening:
    """Whether a dome may be opened.

    Attributes
    ----------
    allowed : bool
        True only when a person looked and found the unions sound.
    look : bool
        True when it is time to look.
    """

    allowed: bool
    look: bool


def may_open(*, callus_reached: bool, looked_sound: bool | None) -> Opening:
    """Tell whether a dome may be opened: a clock only says when to look.

    Parameters
    ----------
    callus_reached : bool
        Whether the callus clock has reached its mark.
    looked_sound : bool or None
        What a person saw: callus and buds sound, or not; None: nobody has looked since.

    Returns
    -------
    Opening
        Allowed by a person's look alone.
    """
    return Opening(allowed=looked_sound is True, look=callus_reached and looked_sound is None)


def common_practice_steps(
    closed_s: float,
    *,
    closed_days: float = CLOSED_DAYS,
    days: float = 14.0,
    steps: int = 7,
    largest_vent_cm2: float = 200.0,
) -> list[VentStep]:
    """Give the steps of common practice: a month closed but for a morning's airing, then open by even degrees.

    Parameters
    ----------
    closed_s : float
        When the dome was closed over the grafts [s].
    closed_days : float
        Days closed, 1 to 120; about four weeks is common.
    days : float
        Days from first vents to open, 1 to 90; common practice, no source.
    steps : int
        Changes of vents, 1 to 90.
    largest_vent_cm2 : float
        All vents open [cm²].

    Returns
    -------
    list of VentStep
        Airings first, then vents; no demand is foretold.

    Raises
    ------
    BadValue
        Naming the argument, the value and the allowed range.
    """
    for name, value, most in (("closed_days", closed_days, 120.0), ("days", days, 90.0), ("steps", float(steps), 90.0)):
        if not 1.0 <= value <= most:
            raise BadValue(name, value, f"1 to {most:g}")
    if not 0.0 < largest_vent_cm2 <= 1e5:
        raise BadValue("largest_vent_cm2", largest_vent_cm2, "above 0 to 100000 cm²")
    opens = closed_s + closed_days * DAY_S
    week, each = closed_days * DAY_S / len(AIRING_MINUTES), days * DAY_S / steps
    airing = [_step(closed_s + i * week, closed_s + (i + 1) * week, 0.0, 0.0, minutes) for i, minutes in enumerate(AIRING_MINUTES)]
    shares = [(k + 1) / steps for k in range(steps)]
    vents = [_step(opens + k * each, opens + (k + 1) * each, share * largest_vent_cm2, share, None) for k, share in enumerate(shares)]
    return [*airing, *vents]


def _step(at_s: float, until_s: float, area: float, share: float, minutes: float | None) -> VentStep:
    nan = float("nan")
    return VentStep(at_s, None, until_s, area, share, nan, NOT_WORKED_OUT, Met.UNKNOWN, Basis.COMMON_PRACTICE, minutes)
