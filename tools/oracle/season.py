"""What other programs say of weather: stored in `tests/data/oracle/season.npz`, so that `scionary.season` can be held against them.

    PYTHONPATH=tools python -m oracle.season            # make the file again; needs the extra `oracle` and psychrolib; seconds
    PYTHONPATH=tools python -m oracle.season --compare  # make it in memory, and say where it differs from the stored one

Arrays of the file (°C, kPa, m/s, MJ/m²/d, mm/d, degrees; rows of one group belong together):
    `et0_*`       inputs of 200 days at five latitudes; `et0_pyet`, `et0_refet_asce`, `et0_refet_own`, `hargreaves_pyet`,
                  `radiation_pyet`, `daylight_pyet`
    `sun_*`       latitude, longitude, seconds since 1970 UTC; `sun_height_pvlib` without refraction
    `sky_height`  heights of the sun, `sky_haurwitz_pvlib` [W/m²]
    `chill_hourly` rows of hours, `chill_portions_xclim`, `chill_units_xclim`
    `air_*`       temperature and relative humidity [%]; `air_pressure_psychrolib`, `air_dew_point_psychrolib`
    `metadata`    a JSON text with the versions that made the file
"""

from __future__ import annotations

import json
import sys
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

FILE = Path(__file__).resolve().parent.parent.parent / "tests" / "data" / "oracle" / "season.npz"
PACKAGES = ("numpy", "pyet", "refet", "pvlib", "xclim", "psychrolib")
Arrays = dict[str, NDArray[Any]]


def evapotranspiration(rng: np.random.Generator) -> Arrays:
    """Days by pyet and RefET."""
    import pandas as pd
    import pyet
    import refet

    parts: list[Arrays] = []
    for latitude, altitude in ((-45.0, 20.0), (-5.0, 900.0), (23.0, 0.0), (47.2, 610.0), (58.0, 150.0)):
        days = pd.DatetimeIndex(np.sort(rng.choice(pd.date_range("2023-01-01", "2023-12-31"), 40, replace=False)))
        season = np.cos((days.dayofyear - 200) * 2 * np.pi / 365) * np.sign(latitude)
        low = 8.0 + 8.0 * season + rng.normal(0.0, 3.0, 40)
        high = low + rng.uniform(2.0, 16.0, 40)
        held = 0.6108 * np.exp(17.27 * low / (low + 237.3)) * rng.uniform(0.5, 1.0, 40)
        wind, above = rng.uniform(0.5, 6.0, 40), np.asarray(pyet.extraterrestrial_r(days, np.radians(latitude)))
        solar = above.ravel() * rng.uniform(0.2, 0.74, 40)
        t_max, t_min, ea, u2, rs = (pd.Series(each, days) for each in (high, low, held, wind, solar))
        mean = (t_max + t_min) / 2.0
        full = pyet.pm_fao56(mean, u2, rs=rs, tmax=t_max, tmin=t_min, ea=ea, elevation=altitude, lat=np.radians(latitude))
        short = pyet.hargreaves(mean, t_max, t_min, np.radians(latitude))
        mine: Arrays = {
            "latitude": np.full(40, latitude),
            "altitude": np.full(40, altitude),
            "day": days.dayofyear.to_numpy(),
            "t_max": high,
            "t_min": low,
            "vapour": held,
            "wind": wind,
            "solar": solar,
            "pyet": np.asarray(full),
            "hargreaves": np.asarray(short),
            "radiation": above.ravel(),
            "daylight": np.asarray(pyet.daylight_hours(days, np.radians(latitude))).ravel(),
        }
        for name, method in (("refet_asce", "asce"), ("refet_own", "refet")):
            units = {"lat": "deg", "rs": "mj m-2 d-1"}
            theirs = refet.Daily(
                low,
                high,
                rs=solar,
                uz=wind,
                zw=2.0,
                elev=altitude,
                lat=latitude,
                doy=mine["day"],
                ea=held,
                method=method,
                input_units=units,
            )
            mine[name] = np.asarray(theirs.eto())
        parts.append(mine)
    joined = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    inputs = ("latitude", "altitude", "day", "t_max", "t_min", "vapour", "wind", "solar", "pyet", "refet_asce", "refet_own")
    return {f"et0_{name}": joined[name] for name in inputs} | {
        f"{name}_pyet": joined[name] for name in ("hargreaves", "radiation", "daylight")
    }


def sun(rng: np.random.Generator) -> Arrays:
    """Heights of the sun and clear skies by pvlib."""
    import pandas as pd
    import pvlib

    latitude, longitude = rng.uniform(-75.0, 75.0, 300), rng.uniform(-180.0, 180.0, 300)
    time_s = rng.uniform(946684800, 2208988800, 300).round()
    height = [
        float(
            pvlib.solarposition.get_solarposition(pd.DatetimeIndex([pd.Timestamp(t, unit="s", tz="UTC")]), phi, east)["elevation"].iloc[0]
        )
        for phi, east, t in zip(latitude, longitude, time_s, strict=True)
    ]
    sky = np.arange(-5.0, 91.0, 2.5)
    haurwitz = np.asarray(pvlib.clearsky.haurwitz(pd.Series(90.0 - sky))["ghi"])
    return {
        "sun_latitude": latitude,
        "sun_longitude": longitude,
        "sun_time_s": time_s,
        "sun_height_pvlib": np.array(height),
        "sky_height": sky,
        "sky_haurwitz_pvlib": haurwitz,
    }


def chill(rng: np.random.Generator) -> Arrays:
    """Winters by xclim."""
    import pandas as pd
    import xarray as xr
    import xclim.indices

    hours = np.arange(60 * 24)
    rows = [
        np.round(
            mean
            + swing * np.sin(hours * 2 * np.pi / 24)
            + np.repeat(np.cumsum(rng.normal(0.0, 0.6, 60)), 24)
            + rng.normal(0.0, 0.5, hours.size),
            1,
        )
        for mean, swing in ((-2.0, 3.0), (2.0, 4.0), (6.0, 2.0), (7.0, 8.0), (11.0, 5.0), (14.0, 7.0))
    ]
    when = pd.date_range("2023-01-01", periods=hours.size, freq="h")
    given = [xr.DataArray(row, dims="time", coords={"time": when}, attrs={"units": "degC"}) for row in rows]
    portions = [float(xclim.indices.chill_portions(each).values[0]) for each in given]
    units = [float(xclim.indices.chill_units(each).values[0]) for each in given]
    return {"chill_hourly": np.array(rows), "chill_portions_xclim": np.array(portions), "chill_units_xclim": np.array(units)}


def air() -> Arrays:
    """Humid air by psychrolib."""
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    temperature, humidity = (grid.ravel() for grid in np.meshgrid(np.arange(1.0, 45.0, 2.0), np.arange(20.0, 101.0, 10.0)))
    pairs = list(zip(temperature.tolist(), humidity.tolist(), strict=True))
    return {
        "air_temperature": temperature,
        "air_humidity": humidity,
        "air_pressure_psychrolib": np.array([psychrolib.GetVapPresFromRelHum(t, rh / 100.0) / 1000.0 for t, rh in pairs]),
        "air_dew_point_psychrolib": np.array([psychrolib.GetTDewPointFromRelHum(t, rh / 100.0) for t, rh in pairs]),
    }


def made() -> Arrays:
    """All arrays, from a fixed seed."""
    rng = np.random.default_rng(20_251_128)
    return evapotranspiration(rng) | sun(rng) | chill(rng) | air()


def main(arguments: list[str]) -> int:
    """Write the file, or compare it; 1 when another version says otherwise."""
    arrays = made()
    if "--compare" in arguments:
        with np.load(FILE) as stored:
            other = [name for name in arrays if not np.allclose(stored[name], arrays[name], rtol=1e-9, atol=1e-9)]
        print("the same" if not other else f"differs: {', '.join(other)}")
        return 1 if other else 0
    metadata = {"versions": {name: version(name) for name in PACKAGES}, "made_by": "tools/oracle/season.py"}
    np.savez_compressed(FILE, allow_pickle=False, **arrays, metadata=np.array(json.dumps(metadata)))
    print(f"{FILE.name}: {len(arrays)} arrays, {FILE.stat().st_size / 1000:.0f} kB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
