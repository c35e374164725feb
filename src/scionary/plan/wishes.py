"""What is wanted and what there is: the plain data that a season's needs are added up from."""

from __future__ import annotations

import operator
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from scionary.errors import BadValue


@dataclass(frozen=True)
class Way:
    """How the grafts of a wish are made and healed; None means: not known, a default is assumed and named.

    Attributes
    ----------
    grafts_per_stick : float, optional
        Grafts that one stick gives, more than 0.
    minutes_per_graft : float, optional
        Bench time, more than 0.
    healing_weeks : float, optional
        Weeks that a graft keeps its place on a tray, more than 0.
    """

    grafts_per_stick: float | None = None
    minutes_per_graft: float | None = None
    healing_weeks: float | None = None

    def __post_init__(self) -> None:
        """Refuse what is no number above 0."""
        for name, value in asdict(self).items():
            if value is not None and not (np.isfinite(value) and value > 0):
                raise BadValue(name, value, "a number above 0, or None where it is not known")


@dataclass(frozen=True)
class Wish:
    """A number of finished plants of one name that is wanted.

    Attributes
    ----------
    name : str
        The cultivar, as the person calls it; one wish a name.
    wanted : int
        Finished plants wanted, 1 or more.
    take_draws : array_like, shape (draws,)
        Equally likely take probabilities, 0 to 1.
    pot : str
        Which kind of pot its grafts stand in.
    rootstock : str
        Which kind of rootstock it is grafted on.
    assurance : float
        Wanted chance of reaching `wanted`, more than 0 and less than 1.
    survival : float, optional
        Share of takes that become finished plants, more than 0 to 1; None: not known, 1 is assumed.
    way : Way
        How the grafts are made.
    planned_grafts : int, optional
        The person's own number of grafts, used in place of the computed one.
    """

    name: str
    wanted: int
    take_draws: Any = field(repr=False)
    pot: str = ""
    rootstock: str = ""
    assurance: float = 0.9
    survival: float | None = None
    way: Way = field(default_factory=Way)
    planned_grafts: int | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be wished."""
        _whole("wanted", self.wanted, 1)
        if self.planned_grafts is not None:
            _whole("planned_grafts", self.planned_grafts, 0)
        if self.survival is not None and not 0.0 < self.survival <= 1.0:
            raise BadValue("survival", self.survival, "more than 0, at most 1, or None where it is not known")


@dataclass(frozen=True)
class Supplies:
    """What there is; None, or a kind that is not named, means: not known.

    Attributes
    ----------
    rootstocks : mapping of str to int
        Usable rootstocks of each kind; with the key "" for those of no named kind all that there are are known, and wishes of no named
        kind take what the others leave.
    sticks : mapping of str to int
        Sticks of scion wood that can be cut, by wish.
    trays : int, optional
        Trays (with dome) that can stand at once.
    bench_hours : float, optional
        Hours at the bench in the season.
    pots_per_tray : mapping of str to int
        How many pots of each kind a tray takes.
    """

    rootstocks: Mapping[str, int] = field(default_factory=dict)
    sticks: Mapping[str, int] = field(default_factory=dict)
    trays: int | None = None
    bench_hours: float | None = None
    pots_per_tray: Mapping[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse numbers that cannot be."""
        for name, least in (("rootstocks", 0), ("sticks", 0), ("pots_per_tray", 1)):
            for key, value in getattr(self, name).items():
                _whole(f"{name} of {key!r}", value, least)
        if self.trays is not None:
            _whole("trays", self.trays, 0)
        if self.bench_hours is not None and not (np.isfinite(self.bench_hours) and self.bench_hours >= 0):
            raise BadValue("bench_hours", self.bench_hours, "0 hours or more")


def _whole(name: str, value: int, least: int) -> None:
    try:
        number = operator.index(value)
    except TypeError as error:
        raise BadValue(name, value, f"a whole number, {least} or more") from error
    if number < least:
        raise BadValue(name, value, f"a whole number, {least} or more")
