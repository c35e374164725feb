"""What the air in a dome does under given weather and vents."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from scionary.dome.fluxes import Fluxes, air_of, fluxes_of
from scionary.dome.kernel import LATENT_HEAT, Sizes
from scionary.dome.marching import FORGOTTEN, Path, march
from scionary.dome.outside import Grid, OutsideAir, at_moments, even_moments
from scionary.dome.spec import DomeSpec, side_by_side, sizes_of
from scionary.dome.vents import opening_on_steps, with_short_steps
from scionary.errors import BadValue
from scionary.units import Float

STEP_RANGE_S = (60.0, 3600.0)


@dataclass(frozen=True, eq=False)
class DomeAir:
    """A dome's air on even steps; NaN where the weather was unknown for long, and until its effect is forgotten.

    Attributes
    ----------
    time_s : ndarray, shape (moments,)
        Moments [s].
    temperature_c, cover_c : ndarray
        Air and cover [°C].
    relative_humidity_pct : ndarray
        Relative humidity [%], 0 to 100.
    vapour_pressure_deficit_kpa : ndarray
        What the air lacks [kPa].
    mat_w : ndarray
        Mean heat of the mat over the step that follows [W].
    water_mm : ndarray or None
        Water left in the tray [mm]; None where it is kept topped up or cannot be told (`water_unknown`).
    dry_at_s : float or None
        When the tray runs dry [s]; None: not within this weather, or unknown.
    water_unknown : bool
        True where vents are closed at some moment and nobody knows the closed dome's leak: look weekly.
    worst_residual : float
        Largest rest of the balances of vapour and cover, over the largest flux.
    path : Path
        How it was computed: ``compiled`` or ``numpy``.
    assumptions : tuple of dict
        Every size used: ``name``, ``value``, ``unit``, ``source``.
    made_from : tuple
        Weather on steps (cut shorter where vents change), open area of each [m²], sizes and what the march gave.
    places : ndarray of int
        Where `time_s` stands among those steps.
    """

    time_s: Float
    temperature_c: Float
    cover_c: Float
    relative_humidity_pct: Float
    vapour_pressure_deficit_kpa: Float
    mat_w: Float
    water_mm: Float | None
    dry_at_s: float | None
    water_unknown: bool
    worst_residual: float
    path: Path
    assumptions: tuple[dict[str, Any], ...]
    made_from: tuple[Grid, Float, Sizes, Float]
    places: Any

    @cached_property
    def fluxes(self) -> Fluxes:
        """Every flux at each moment, for balances."""
        return Fluxes(*(row[self.places] for row in fluxes_of(*self.made_from)))

    @property
    def water_lost_g_h(self) -> Float:
        """Water carried out by the air [g/h]; negative where outside air is wetter."""
        return np.where(np.isnan(self.temperature_c), np.nan, 3.6e6 * self.fluxes.lost_kg_s)

    @property
    def dew_g_h(self) -> Float:
        """Dew running down the cover, back into the tray [g/h]."""
        return np.where(np.isnan(self.temperature_c), np.nan, 3.6e6 / LATENT_HEAT * self.fluxes.dew)

    @property
    def air_exchange_l_min(self) -> Float:
        """Air exchanged with outside [l/min]."""
        return np.where(np.isnan(self.temperature_c), np.nan, 60_000.0 * self.fluxes.exchange)


def simulate_dome(dome: DomeSpec, outside: OutsideAir, vents: Any, *, step_s: float = 1800.0, path: Path | None = None) -> DomeAir:
    """Follow a dome's air through weather: quasi-steady vapour and cover, one slow temperature.

    It begins at the outside temperature and has forgotten that after some hours. The equations stand in docs/air.md.

    Parameters
    ----------
    dome : DomeSpec
        The dome.
    outside : OutsideAir
        Weather at its place.
    vents : float, array_like or Vents
        Open area [cm²], 0 or more: one number, one a step, one for each moment of the weather (held until the next), or
        changes.
    step_s : float
        Step [s], 60 to 3600.
    path : Path or None
        Force one way of computing; None takes the compiled one where it is installed and pays. Both give the same
        numbers; where numba is missing numpy is used, and the result says so.

    Returns
    -------
    DomeAir
        From the first moment of the weather, as many whole steps as fit.

    Raises
    ------
    BadValue
        Naming the argument, the value and the allowed range.

    References
    ----------
    Hochbruck, Ostermann & Schweitzer (2009), SIAM J. Numer. Anal. 47:786, exponential Rosenbrock-Euler method, eq. 2.4, with
    the term for explicit time dependence.
    """
    if not STEP_RANGE_S[0] <= step_s <= STEP_RANGE_S[1]:
        raise BadValue("step_s", step_s, f"{STEP_RANGE_S[0]:g} to {STEP_RANGE_S[1]:g} s")
    if step_s < 5 * dome.vapour_settles_s:
        limit = f"at least {5 * dome.vapour_settles_s:.0f} s, five times what this dome's vapour takes to settle; or more wet area"
        raise BadValue("step_s", step_s, limit)
    moments = even_moments(outside, step_s)
    finer, opening, places = with_short_steps(moments, opening_on_steps(vents, outside, moments))
    grid = at_moments(outside, finer)
    sizes = sizes_of(dome)
    film = np.array([np.inf if dome.water_mm is None else dome.water_mm])
    made, path = march(grid, opening, side_by_side([sizes]), film, path)
    return _air(dome, grid, opening, sizes, made[:, :, 0], places, path)


def unknown_after_gaps(grid: Grid, sizes: Sizes) -> Any:
    """Mark the moments at which a gap in the weather still matters.

    Parameters
    ----------
    grid : Grid
        Weather on steps.
    sizes : Sizes
        The dome, for how long it remembers.

    Returns
    -------
    ndarray of bool, shape (moments,)
        True in a gap, and for some time constants after.
    """
    if grid.known.all():
        return ~grid.known
    constant = np.max(sizes.heat_capacity * (1.0 / sizes.inner + 1.0 / sizes.outer))
    last_gap = np.maximum.accumulate(np.where(grid.known, -np.inf, grid.time_s))
    return grid.time_s - last_gap <= FORGOTTEN / 6.0 * constant


def _air(dome: DomeSpec, grid: Grid, opening: Float, sizes: Sizes, fine: Float, places: Any, path: Path) -> DomeAir:
    gone, made = unknown_after_gaps(grid, sizes)[places], fine[:, places]
    temperature, humidity, deficit = air_of(made)
    unknown = dome.leak_l_min is None and bool((opening <= 0.0).any())
    told = dome.water_mm is not None and not unknown and not gone.any()
    return DomeAir(
        time_s=grid.time_s[places],
        temperature_c=_blanked(temperature, gone),
        cover_c=_blanked(made[1], gone),
        relative_humidity_pct=_blanked(humidity, gone),
        vapour_pressure_deficit_kpa=_blanked(deficit, gone),
        mat_w=_blanked(made[4], gone),
        water_mm=made[3] if told else None,
        dry_at_s=_dry_at(grid.time_s, fine[3]) if told else None,
        water_unknown=unknown,
        worst_residual=float(made[5].max()),
        path=path,
        assumptions=tuple(dome.assumptions()),
        made_from=(grid, opening, sizes, fine),
        places=places,
    )


def _blanked(row: Float, gone: Any) -> Float:
    return np.where(gone, np.nan, row) if gone.any() else row


def _dry_at(time_s: Float, water: Float) -> float | None:
    dry = np.flatnonzero(water <= 0.0)
    return float(time_s[dry[0]]) if dry.size else None
