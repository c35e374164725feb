"""A stem with a cut on it, and the two living lines that the cut lays bare."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scionary.language import mark, say
from scionary.union.cut import LARGEST_RADIUS_MM, cambium_half_width
from scionary.units import Float, as_floats, check_range, refuse_where

BARK_SHARE = 0.08  # project default, unsourced: bark and bast of a young stem, as a share of its thickness
_BEND = mark("more than the stem's own radius: no stem bends tighter")
_ROUNDING = 1e-9  # mm²: where a sloping line ends, its half-width is 0 and no less
LONGEST_CUT_MM = 500.0  # project default, unsourced


@dataclass(frozen=True)
class Stem:
    """A stem as it is measured, before any cut. Fields are floats.

    Attributes
    ----------
    diameter_mm : float
        Thickness over the bark, towards the cut [mm], above 0.
    bark_mm : float or None
        Bark and bast together [mm]; None: not measured, `BARK_SHARE` of the thickness: of an oval stem, of that of a
        round one of the same section, whichever way it is turned.
    across_mm : float or None
        Thickness of an oval stem across the cut's face [mm]; None: round.
    bend_radius_mm : float
        Radius of a bent stem's middle along the cut [mm], more than the stem's own: above 0 the cut lies on the outer side
        of the bend, below 0 on the inner side, infinity is straight.
    """

    diameter_mm: float
    bark_mm: float | None = None
    across_mm: float | None = None
    bend_radius_mm: float = float("inf")

    def __post_init__(self) -> None:
        """Refuse sizes that no stem has."""
        for name, value in (("diameter_mm", self.diameter_mm), ("across_mm", self.across_mm)):
            if value is not None:
                size = check_range(name, value, 0.0, 2.0 * LARGEST_RADIUS_MM, "mm")
                refuse_where(~(size / 2.0 > 0.0), name, size, say("more than 0, up to {most} mm", most=f"{2.0 * LARGEST_RADIUS_MM:g}"))
        bark = check_range("bark_mm", self.bark, 0.0, LARGEST_RADIUS_MM, "mm")
        thin = min(self.diameter_mm, self.diameter_mm if self.across_mm is None else self.across_mm) / 2.0
        refuse_where(
            ~(bark < thin),
            "bark_mm",
            bark,
            say("less than half the stem's thickness, {thin} mm: the rest would be no wood", thin=f"{thin:g}"),
        )
        bend = as_floats("bend_radius_mm", self.bend_radius_mm)
        refuse_where(~(np.abs(bend) > self.radius_mm), "bend_radius_mm", bend, say(_BEND))

    @property
    def bark(self) -> float:
        """Bark and bast [mm], measured or by the usual share."""
        if self.bark_mm is not None:
            return self.bark_mm
        return BARK_SHARE * (self.diameter_mm if self.across_mm is None else float(np.sqrt(self.diameter_mm * self.across_mm)))

    @property
    def radius_mm(self) -> float:
        """Half the thickness towards the cut [mm]."""
        return self.diameter_mm / 2.0

    @property
    def wood_mm(self) -> float:
        """From the pith to the living line, towards the cut [mm]."""
        return self.radius_mm - self.bark

    def cut(self, depth_mm: Any, deeper_mm: Any = 0.0) -> CutStem:
        """Cut the stem.

        Parameters
        ----------
        depth_mm, deeper_mm : float or array_like
            As in `CutStem`.

        Returns
        -------
        CutStem
            The stem with its cut; not checked yet.
        """
        across = None if self.across_mm is None else self.across_mm / 2.0
        return CutStem(self.radius_mm, self.bark, depth_mm, across, self.bend_radius_mm, deeper_mm)


@dataclass(frozen=True)
class CutStem:
    """A stem with a cut along it. Every field is a float or an array; arrays broadcast against one another.

    Attributes
    ----------
    radius_mm : float or array_like
        Radius over the bark, towards the cut [mm].
    bark_mm : float or array_like
        Bark and bast together [mm].
    depth_mm : float or array_like
        How deep the cut goes at its middle [mm].
    across_radius_mm : float, array_like or None
        Half the thickness across the face of an oval stem [mm]; None: round.
    bend_radius_mm : float or array_like
        As in `Stem`.
    deeper_mm : float or array_like
        How much deeper the cut is at its foot than at its top [mm]: 0 for a cut along the stem; twice the radius for a
        slope that runs right through; below 0 when it deepens upwards.
    """

    radius_mm: Any
    bark_mm: Any
    depth_mm: Any
    across_radius_mm: Any = None
    bend_radius_mm: Any = float("inf")
    deeper_mm: Any = 0.0

    @property
    def is_straight(self) -> bool:
        """True when both living lines are straight and parallel."""
        return bool(np.all(np.isinf(self.bend_radius_mm)) and not np.any(np.asarray(self.deeper_mm)))

    def check(self, length_mm: Any) -> CutStem:
        """Refuse a cut that cannot be.

        Parameters
        ----------
        length_mm : float or array_like
            Length of the cut [mm].

        Returns
        -------
        CutStem
            The same, with float arrays.

        Raises
        ------
        BadValue
            Naming the argument, its value and what is allowed.
        """
        length = check_range("length_mm", length_mm, 0.0, LONGEST_CUT_MM, "mm")
        refuse_where(length <= 0.0, "length_mm", length, say("more than 0, up to {most} mm", most=f"{LONGEST_CUT_MM:g}"))
        cambium_half_width(self.radius_mm, self.bark_mm, self.depth_mm)
        bend = np.abs(np.asarray(self.bend_radius_mm, dtype=np.float64))
        refuse_where(bend <= np.asarray(self.radius_mm), "bend_radius_mm", bend, say(_BEND))
        deeper = check_range("deeper_mm", self.deeper_mm, -2.0 * LARGEST_RADIUS_MM, 2.0 * LARGEST_RADIUS_MM, "mm")
        checked = replace(self, bend_radius_mm=np.asarray(self.bend_radius_mm, dtype=np.float64), deeper_mm=deeper)
        if self.across_radius_mm is None:
            return checked
        across = check_range("across_radius_mm", self.across_radius_mm, 0.0, LARGEST_RADIUS_MM, "mm")
        refuse_where(across <= np.asarray(self.bark_mm), "across_radius_mm", across, say("more than bark_mm"))
        return replace(checked, across_radius_mm=across)


def line_half_width(cut: CutStem, z_mm: Any, length_mm: Any) -> Float:
    """Half the distance between the living lines at a height on the cut; nothing is checked.

    Parameters
    ----------
    cut : CutStem
        The stem and its cut.
    z_mm : array_like
        Height above the cut's middle [mm]; it broadcasts against the fields of `cut`.
    length_mm : array_like
        Length of the cut [mm].

    Returns
    -------
    ndarray
        Half-width [mm]; NaN where the cut lays no living line bare.

    Notes
    -----
    Round: √((R − b)² − (R − d)²). Oval: the same, stretched across the face by (A − b) / (R − b), taking the inside of an
    oval stem's bark as an oval whose half-axes are both less by the bark. A stem bent to a ring whose middle has the radius ρ,
    cut flat on its outer side, is shallower away from the cut's middle by √(X² + z²) − X, X = ρ + R − d being the distance of
    the face from the ring's centre; on the inner side deeper by the same with X = ρ − R + d. Both are exact.
    """
    depth = depth_at(cut, z_mm, length_mm)
    squared = (depth - cut.bark_mm) * (2.0 * np.asarray(cut.radius_mm) - cut.bark_mm - depth)
    half = np.asarray(np.sqrt(np.where(squared > -_ROUNDING, np.maximum(squared, 0.0), np.nan)))
    if cut.across_radius_mm is None:
        return half
    return np.asarray(half * (np.asarray(cut.across_radius_mm) - cut.bark_mm) / (np.asarray(cut.radius_mm) - cut.bark_mm))


def depth_at(cut: CutStem, z_mm: Any, length_mm: Any) -> Float:
    """How deep the cut is at a height.

    Parameters
    ----------
    cut : CutStem
        The stem and its cut.
    z_mm : array_like
        Height above the cut's middle [mm].
    length_mm : array_like
        Length of the cut [mm].

    Returns
    -------
    ndarray
        Depth below the bark's surface [mm].
    """
    z, bend = np.asarray(z_mm, dtype=np.float64), np.asarray(cut.bend_radius_mm, dtype=np.float64)
    depth = np.asarray(cut.depth_mm) - np.asarray(cut.deeper_mm) * z / np.asarray(length_mm)
    if np.all(np.isinf(bend)):
        return np.asarray(depth)
    outward = np.sign(bend)
    ring = np.where(np.isinf(bend), 1e12, np.abs(bend))
    off = ring + outward * (np.asarray(cut.radius_mm) - depth)  # of the face from the centre of the bend
    far = np.hypot(off, z)
    beside = np.where(off > 0.0, z**2 / np.where(off > 0.0, far + off, 1.0), far - off)
    return np.asarray(depth - outward * beside)


def matching_depth_mm(stem: Stem, half_width_mm: float) -> float:
    """Depth of a straight cut whose living lines lie as far apart as wanted.

    Parameters
    ----------
    stem : Stem
        The stem.
    half_width_mm : float
        Half the distance between the lines [mm].

    Returns
    -------
    float
        Depth [mm], from the bark to the pith: R − √((R − b)² − a²); the pith where the stem is too thin for it.
    """
    wood = stem.wood_mm
    half = half_width_mm if stem.across_mm is None else half_width_mm * wood / (stem.across_mm / 2.0 - stem.bark)
    return stem.radius_mm - float(np.sqrt(max(wood**2 - half**2, 0.0)))
