"""Height under the cover: whether pot and scion stand below it, and how tall a scion may be at each place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.plan.pots import check_positive
from scionary.units import Float, as_floats


@dataclass(frozen=True)
class Cover:
    """A cover over a tray.

    Attributes
    ----------
    height_mm : float
        From the tray's floor to the inside of the cover's top.
    lean_mm : float
        How far its walls lean in from foot to top, each; 0 for upright walls.
    """

    height_mm: float
    lean_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a cover without height, and walls that lean out."""
        check_positive("height_mm", self.height_mm)
        if not (np.isfinite(self.lean_mm) and self.lean_mm >= 0):
            raise BadValue("lean_mm", self.lean_mm, "0 mm or more")


@dataclass(frozen=True)
class Headroom:
    """What is free above each pot.

    Attributes
    ----------
    free_mm : ndarray of shape (n,)
        From the pot's rim to the cover, above the pot's middle; below 0 where the pot itself is too tall.
    stands : ndarray of bool, shape (n,)
        Whether the scion, with what is kept free above it, is lower than that.
    """

    free_mm: Float
    stands: Any

    @property
    def tallest_mm(self) -> float:
        """Free height where there is least of it; NaN without pots."""
        return float(self.free_mm.min()) if len(self.free_mm) else float("nan")

    @property
    def all_stand(self) -> bool:
        """Whether it is enough everywhere."""
        return bool(np.all(self.stands))


def headroom(
    positions: Float, length_mm: float, width_mm: float, cover: Cover, *, pot_mm: Any, scion_mm: Any = 0.0, free_mm: float = 0.0
) -> Headroom:
    """Find the free height above each pot of a tray.

    Parameters
    ----------
    positions : ndarray of shape (n, 2)
        Centres of the pots, in mm from one corner of the tray's inside; stems stand in the middle of pots.
    length_mm, width_mm : float
        Inside size of the tray; the cover's foot is taken to stand on its edge.
    cover : Cover
        The cover.
    pot_mm : float or ndarray of shape (n,)
        Height of the pots, 0 or more.
    scion_mm : float or ndarray of shape (n,)
        From rim to the tip of the scion or of its bag, 0 or more. NaN: not known, which stands nowhere.
    free_mm : float
        To be kept free between tip and cover, since a leaf that touches a wet cover rots (common practice, no source).

    Returns
    -------
    Headroom
        Free height above each pot, and where it is enough.

    Raises
    ------
    BadValue
        When a height is below 0.
    """
    pot, scion = (_heights(name, value) for name, value in (("pot_mm", pot_mm), ("scion_mm", scion_mm)))
    if not (np.isfinite(free_mm) and free_mm >= 0):
        raise BadValue("free_mm", free_mm, "0 mm or more")
    places = as_floats("positions", positions).reshape(-1, 2)
    to_wall = np.minimum(places, np.array([length_mm, width_mm]) - places).min(axis=1, initial=np.inf)
    share = np.minimum(to_wall / cover.lean_mm, 1.0) if cover.lean_mm > 0 else np.ones(len(places))
    above = cover.height_mm * share - pot
    return Headroom(above, above >= scion + free_mm - 1e-9)


def _heights(name: str, value: Any) -> Float:
    heights = as_floats(name, value)
    if np.any(heights < 0):
        raise BadValue(name, value, "0 mm or more")
    return heights
