"""A dome as its physics needs it: sizes, conductances, mat and water, each an assumption that a person can see and change."""

from __future__ import annotations

import math
from dataclasses import MISSING, dataclass, field, fields
from typing import Any

import numpy as np

from scionary.dome.kernel import Sizes
from scionary.errors import BadValue

UNSOURCED = "project default, unsourced"
MEASURE = "measure your own; the default is a common propagation tray"
ASSUMED_LEAK_L_MIN = 0.2  # project default, unsourced: taken where nobody knows a closed dome's leak


def _size(default: Any, unit: str, low: float, high: float, source: str) -> Any:
    return field(default=default, metadata={"unit": unit, "low": low, "high": high, "source": source})


@dataclass(frozen=True)
class HeatMat:
    """A heat mat with a thermostat: it gives what holds the set temperature, up to its power.

    Attributes
    ----------
    power_w : float
        Most heat that it gives to the tray [W], 0 to 2000.
    thermostat_c : float
        Temperature that the thermostat holds, felt in the dome [°C], 0 to 45. A mat without one is refused: set 45
        only if it truly never switches off below that.

    Raises
    ------
    BadValue
        When the power or the thermostat is missing or out of range.
    """

    power_w: float
    thermostat_c: float | None = None

    def __post_init__(self) -> None:
        """Refuse a mat that nothing switches off."""
        _within("mat.power_w", self.power_w, 0.0, 2000.0, "W")
        if self.thermostat_c is None:
            raise BadValue("mat.thermostat_c", None, "0 to 45 °C: a mat without a thermostat cannot be foretold")
        _within("mat.thermostat_c", self.thermostat_c, 0.0, 45.0, "°C")


@dataclass(frozen=True)
class DomeSpec:
    """One dome over one tray.

    Attributes
    ----------
    volume_m3 : float
        Air under the cover [m³], above 0 to 20. Only the check that vapour settles at once needs it.
    tray_area_m2, cover_area_m2 : float
        Floor that sun reaches and water stands on, and cover that loses heat [m²].
    vent_height_m : float
        Height over which a vent breathes: from its lower to its upper edge [m].
    absorbed_fraction : float
        Share of the sun on the tray's area that ends as heat inside, 0 to 1.
    shade_share : float
        Share of the sun that cloth or trees take away, 0 to 1.
    film_area_m2, pot_area_m2 : float
        Evaporating surface that is wet while water stands in the tray, and surface that stays wet without (pots, leaves) [m²].
    water_mm : float or None
        Water standing in the tray at the start [mm]; None: kept topped up.
    heat_capacity_j_k : float
        Of tray, pots and air together [J/K].
    leak_l_min : float or None
        Air that a closed dome exchanges [l/min]; None: unknown, then 0.2 is assumed and no lasting of water is given.
    vent_factor : float
        How well this dome's vents breathe against the formula, 0.05 to 20; fitted from a log.
    evaporation_m_s, inner_w_m2k, outer_w_m2k : float
        Transfer of vapour from wet surfaces [m/s], of heat from air to cover and from cover to outside [W/m²K].
    wind_factor, stack_factor : float
        Exchange through a vent by wind and by lightness, per area.
    mat : HeatMat or None
        A heat mat under the tray.

    Raises
    ------
    BadValue
        Naming the field, its value and what is allowed.
    """

    volume_m3: float = _size(0.022, "m³", 1e-4, 20.0, MEASURE)
    tray_area_m2: float = _size(0.155, "m²", 1e-3, 50.0, MEASURE)
    cover_area_m2: float = _size(0.5, "m²", 1e-3, 200.0, MEASURE)
    vent_height_m: float = _size(0.05, "m", 1e-3, 5.0, MEASURE)
    absorbed_fraction: float = _size(0.65, "", 0.0, 1.0, UNSOURCED)
    shade_share: float = _size(0.0, "", 0.0, 1.0, "as it stands; none unless said")
    film_area_m2: float = _size(0.09, "m²", 0.0, 50.0, UNSOURCED)
    pot_area_m2: float = _size(0.03, "m²", 1e-4, 50.0, UNSOURCED)
    water_mm: float | None = _size(None, "mm", 0.0, 200.0, "kept topped up unless said")
    heat_capacity_j_k: float = _size(8000.0, "J/K", 100.0, 1e7, UNSOURCED)
    leak_l_min: float | None = _size(None, "l/min", 0.0, 1e4, "unknown unless fitted; 0.2 l/min is assumed, unsourced")
    vent_factor: float = _size(1.0, "", 0.05, 20.0, "1 unless fitted")
    evaporation_m_s: float = _size(0.0035, "m/s", 1e-5, 0.1, UNSOURCED)
    inner_w_m2k: float = _size(6.0, "W/m²K", 0.1, 100.0, UNSOURCED)
    outer_w_m2k: float = _size(14.0, "W/m²K", 0.1, 200.0, UNSOURCED)
    wind_factor: float = _size(0.025, "", 0.0, 1.0, "one-sided vent: BS 5925 (1991), from memory")
    stack_factor: float = _size(0.2, "", 0.0, 1.0, "one-sided vent, a third of a discharge of 0.6: BS 5925 (1991), from memory")
    mat: HeatMat | None = None

    def __post_init__(self) -> None:
        """Refuse sizes that no dome has."""
        for each in fields(self):
            value = getattr(self, each.name)
            if each.metadata and not (value is None and each.default is None):
                _within(each.name, value, each.metadata["low"], each.metadata["high"], each.metadata["unit"])
        if self.cover_area_m2 < self.tray_area_m2:
            raise BadValue("cover_area_m2", self.cover_area_m2, f"at least the tray's {self.tray_area_m2:g} m²")

    @property
    def wet_area_m2(self) -> float:
        """All that evaporates while water stands in the tray [m²]."""
        return self.film_area_m2 + self.pot_area_m2

    @property
    def vapour_settles_s(self) -> float:
        """Seconds in which the air's vapour follows wet surfaces and leak; the physics takes it as nothing beside a step."""
        leak = ASSUMED_LEAK_L_MIN if self.leak_l_min is None else self.leak_l_min
        return self.volume_m3 / (self.evaporation_m_s * self.wet_area_m2 + leak / 60_000.0)

    def assumptions(self) -> list[dict[str, Any]]:
        """List every size with its unit and where it comes from.

        Returns
        -------
        list of dict
            One a size: ``name``, ``value``, ``unit``, ``source``; one that is not the default says so.
        """
        return [_assumption(self, each) for each in fields(self) if each.metadata]


def sizes_of(dome: DomeSpec) -> Sizes:
    """Turn a dome into what the kernel takes.

    Parameters
    ----------
    dome : DomeSpec
        The dome.

    Returns
    -------
    Sizes
        In SI; an unknown leak is the assumed one, a missing mat has no power.
    """
    leak = ASSUMED_LEAK_L_MIN if dome.leak_l_min is None else dome.leak_l_min
    return Sizes(
        inner=dome.inner_w_m2k * dome.cover_area_m2,
        outer=dome.outer_w_m2k * dome.cover_area_m2,
        heat_capacity=float(dome.heat_capacity_j_k),
        sun=dome.absorbed_fraction * dome.tray_area_m2 * (1.0 - dome.shade_share),
        pots=dome.evaporation_m_s * dome.pot_area_m2,
        film=dome.evaporation_m_s * dome.film_area_m2,
        film_area=float(dome.tray_area_m2),
        leak=leak / 60_000.0,
        wind=dome.vent_factor * dome.wind_factor,
        stack=dome.vent_factor * dome.stack_factor * math.sqrt(dome.vent_height_m),
        mat=float(dome.mat.power_w) if dome.mat else 0.0,
        thermostat=float(dome.mat.thermostat_c) if dome.mat and dome.mat.thermostat_c is not None else 0.0,
    )


def side_by_side(domes: list[Sizes]) -> Sizes:
    """Stack several domes, one a column.

    Parameters
    ----------
    domes : list of Sizes
        Each with plain numbers.

    Returns
    -------
    Sizes
        Arrays of shape (domes,).
    """
    return Sizes(*(np.array(column, dtype=np.float64) for column in zip(*domes, strict=True)))


def _within(name: str, value: Any, low: float, high: float, unit: str) -> None:
    if isinstance(value, bool) or not isinstance(value, (int, float, np.floating, np.integer)) or not low <= value <= high:
        raise BadValue(name, value, f"{low:g} to {high:g} {unit}".strip())


def _assumption(dome: DomeSpec, each: Any) -> dict[str, Any]:
    value, source = getattr(dome, each.name), each.metadata["source"]
    if each.default is not MISSING and value != each.default:
        source = f"given; the default is {each.default if each.default is None else format(each.default, 'g')}, {source}"
    return {"name": each.name, "value": value, "unit": each.metadata["unit"], "source": source}
