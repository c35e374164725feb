"""Pots, as far as room goes: their widest cross-section, and how high they stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue


@dataclass(frozen=True)
class SquarePot:
    """A pot whose widest cross-section is a square of `side_mm`."""

    side_mm: float

    def __post_init__(self) -> None:
        """Refuse a pot without size."""
        check_positive("side_mm", self.side_mm)

    @property
    def width_mm(self) -> float:
        """Width across, in mm."""
        return self.side_mm


@dataclass(frozen=True)
class RoundPot:
    """A pot whose widest cross-section is a circle of `diameter_mm`."""

    diameter_mm: float

    def __post_init__(self) -> None:
        """Refuse a pot without size."""
        check_positive("diameter_mm", self.diameter_mm)

    @property
    def width_mm(self) -> float:
        """Width across, in mm."""
        return self.diameter_mm


Pot = SquarePot | RoundPot


def check_positive(name: str, value: float) -> None:
    """Refuse what is no length.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    value : float
        Millimetres.

    Raises
    ------
    BadValue
        When it is no number, not finite, or not more than 0.
    """
    check: Callable[[float], Any] = np.isfinite
    if not (isinstance(value, int | float | np.number) and check(value) and value > 0):
        raise BadValue(name, value, "more than 0 mm")


def check_pot(name: str, pot: object) -> None:
    """Refuse what is no pot.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    pot : object
        What was given.

    Raises
    ------
    BadValue
        When it is neither a square nor a round pot.
    """
    if not isinstance(pot, SquarePot | RoundPot):
        raise BadValue(name, pot, "a SquarePot or a RoundPot")


def check_room(length_mm: float, width_mm: float, clearance_mm: float, tolerance_mm: float, narrowest_mm: float) -> None:
    """Refuse a tray, a clearance or a tolerance that cannot be.

    Parameters
    ----------
    length_mm, width_mm : float
        Inside size of the tray.
    clearance_mm : float
        Free room between neighbours.
    tolerance_mm : float
        By how much a pot gives across.
    narrowest_mm : float
        Width of the narrowest pot.

    Raises
    ------
    BadValue
        Naming the first that is out of its range.
    """
    check_positive("length_mm", length_mm)
    check_positive("width_mm", width_mm)
    if not (np.isfinite(clearance_mm) and clearance_mm >= 0):
        raise BadValue("clearance_mm", clearance_mm, "0 mm or more")
    if not (np.isfinite(tolerance_mm) and abs(tolerance_mm) <= narrowest_mm / 4):
        raise BadValue("tolerance_mm", tolerance_mm, f"at most a quarter of a pot's width, {narrowest_mm / 4:g} mm, either way")
