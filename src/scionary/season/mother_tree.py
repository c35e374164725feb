"""A mother tree's root zone, in the ground or in a pot: the figures that its water balance needs, with where they are from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import mark
from scionary.season.water import WaterBalance, water_deficit
from scionary.units import check_range

UNSOURCED = mark("project default, unsourced")
TABLE_19 = "FAO-56 table 19, the middle of its range, from memory"
BORROWED = mark("FAO-56 tables 12 and 22 for apples, cherries, pears, from memory; no figures for the species were found")


class Soil(Enum):
    """A kind of soil with the available water that it holds [mm in a metre of depth], the middle of FAO-56 table 19."""

    SAND = ("sand", 80.0)
    LOAMY_SAND = ("loamy sand", 90.0)
    SANDY_LOAM = ("sandy loam", 130.0)
    LOAM = ("loam", 155.0)
    SILT_LOAM = ("silt loam", 160.0)
    SILT = ("silt", 180.0)
    SILTY_CLAY = ("silty clay", 160.0)
    CLAY = ("clay", 160.0)

    @property
    def words(self) -> str:
        """The soil in words."""
        return self.value[0]

    @property
    def mm_per_m(self) -> float:
        """Available water [mm] in a metre of depth."""
        return self.value[1]


@dataclass(frozen=True)
class TreeWater:
    """What a mother tree's roots can reach.

    Attributes
    ----------
    available_mm : float
        Total available water over the ground under the crown [mm, which is l/m²], above 0.
    depletion_fraction : float
        Share of it drawn without feeling a lack, 0 to below 1. Default 0.5.
    crop_coefficient : float
        Its water use as a share of the reference surface's, 0 to 2. Default 0.95, in full leaf.
    rain_share : float
        Share of the rain that reaches the roots, 0 to 1. Default 1; in a pot the mouth's share of the crown's area.
    water_source : str
        Where `available_mm` is from.
    """

    available_mm: float
    depletion_fraction: float = 0.5
    crop_coefficient: float = 0.95
    rain_share: float = 1.0
    water_source: str = "given"

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        for name, low, high in (("available_mm", 0.0, 5000.0), ("depletion_fraction", 0.0, 1.0), ("crop_coefficient", 0.0, 2.0)):
            if np.isnan(check_range(name, getattr(self, name), low, high)):
                raise BadValue(name, getattr(self, name), f"a number from {low:g} to {high:g}")
        check_range("rain_share", self.rain_share, 0.0, 1.0)
        if not self.available_mm > 0.0:
            raise BadValue("available_mm", self.available_mm, "above 0 mm")
        if not self.depletion_fraction < 1.0:
            raise BadValue("depletion_fraction", self.depletion_fraction, "0 to below 1")

    @classmethod
    def in_ground(cls, soil: Soil, *, root_depth_m: float = 0.6) -> TreeWater:
        """Describe a tree in the ground.

        Parameters
        ----------
        soil : Soil
            The kind of soil.
        root_depth_m : float
            Depth that its roots reach [m], 0.05 to 5. Default 0.6; project default, unsourced.

        Returns
        -------
        TreeWater
            With the defaults for a tree in full leaf.

        Raises
        ------
        BadValue
            When the depth is out of range.
        """
        depth = float(check_range("root_depth_m", root_depth_m, 0.05, 5.0, "m"))
        return cls(soil.mm_per_m * depth, water_source=f"{soil.words}, roots {depth:g} m deep ({UNSOURCED}); {TABLE_19}")

    @classmethod
    def in_pot(cls, litres: float, *, crown_m2: float, mouth_m2: float, available_share: float = 0.25) -> TreeWater:
        """Describe a tree in a pot.

        Parameters
        ----------
        litres : float
            Soil in the pot [l], 0.1 to 5000.
        crown_m2 : float
            Ground that its crown covers [m²], 0.001 to 100.
        mouth_m2 : float
            Open top of the pot [m²], 0.0001 to 100.
        available_share : float
            Share of the pot's volume that is water within reach after it has drained, 0.02 to 0.6. Default 0.25;
            project default, unsourced.

        Returns
        -------
        TreeWater
            With the water spread over the crown's area.

        Raises
        ------
        BadValue
            When a figure is out of range.
        """
        volume = float(check_range("litres", litres, 0.1, 5000.0, "l"))
        crown = float(check_range("crown_m2", crown_m2, 0.001, 100.0, "m²"))
        mouth = float(check_range("mouth_m2", mouth_m2, 0.0001, 100.0, "m²"))
        share = float(check_range("available_share", available_share, 0.02, 0.6))
        source = f"{share:g} of {volume:g} l ({UNSOURCED}) under a crown of {crown:g} m²"
        return cls(volume * share / crown, rain_share=min(mouth / crown, 1.0), water_source=source)

    def mm_of_litres(self, litres: float, *, crown_m2: float) -> float:
        """Turn litres poured onto the roots into millimetres under the crown.

        Parameters
        ----------
        litres : float
            Water given [l], 0 or more.
        crown_m2 : float
            Ground that the crown covers [m²], above 0.

        Returns
        -------
        float
            Water [mm].

        Raises
        ------
        BadValue
            When a figure is out of range.
        """
        crown = float(check_range("crown_m2", crown_m2, 0.001, 100.0, "m²"))
        return float(check_range("litres", litres, 0.0, 1e6, "l")) / crown

    def assumptions(self) -> list[dict[str, Any]]:
        """List every figure with its unit and where it is from.

        Returns
        -------
        list of dict
            ``name``, ``value``, ``unit``, ``source``.
        """
        return [
            {"name": "available_mm", "value": self.available_mm, "unit": "mm", "source": self.water_source},
            {"name": "depletion_fraction", "value": self.depletion_fraction, "unit": "", "source": BORROWED},
            {"name": "crop_coefficient", "value": self.crop_coefficient, "unit": "", "source": BORROWED},
            {"name": "rain_share", "value": self.rain_share, "unit": "", "source": UNSOURCED},
        ]


def tree_balance(
    tree: TreeWater, rain_mm: Any, reference_mm: Any, *, irrigation_mm: Any = 0.0, start_deficit_mm: float | None = None
) -> WaterBalance:
    """Balance one tree's water from the weather.

    Parameters
    ----------
    tree : TreeWater
        The root zone.
    rain_mm : array_like
        Rain of each day [mm]; NaN where it is not known.
    reference_mm : array_like
        Reference evapotranspiration of each day [mm] (`daily_evapotranspiration`); NaN where it is not known.
    irrigation_mm : array_like
        Water given to the roots on each day [mm under the crown].
    start_deficit_mm : float or None
        Water lacking before the first day [mm]. None, the default: not known, told by a range until rain fills the zone.

    Returns
    -------
    WaterBalance
        One entry a day.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """
    rain = check_range("rain_mm", rain_mm, 0.0, 2000.0, "mm") * tree.rain_share
    demand = check_range("reference_mm", reference_mm, 0.0, 50.0, "mm") * tree.crop_coefficient
    return water_deficit(
        rain,
        demand,
        available_mm=tree.available_mm,
        depletion_fraction=tree.depletion_fraction,
        irrigation_mm=irrigation_mm,
        start_deficit_mm=start_deficit_mm,
    )
