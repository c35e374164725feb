"""The healing air: humidity, and what a dome's logger says."""

from scionary.dome.callus import callus_degree_days
from scionary.dome.episodes import Episode, Kind, Measure
from scionary.dome.humidity import dew_point, saturation_vapour_pressure, vapour_pressure_deficit
from scionary.dome.limits import AirLimits
from scionary.dome.report import AirReport, Spread, air_report

__all__ = [
    "AirLimits",
    "AirReport",
    "Episode",
    "Kind",
    "Measure",
    "Spread",
    "air_report",
    "callus_degree_days",
    "dew_point",
    "saturation_vapour_pressure",
    "vapour_pressure_deficit",
]
