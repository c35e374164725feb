"""The healing air: humidity, and what a dome's logger says."""

from scionary.dome.callus import callus_degree_days
from scionary.dome.episodes import Episode, Kind, Measure
from scionary.dome.heat_account import HeatAccount, heat_account
from scionary.dome.humidity import dew_point, saturation_vapour_pressure, vapour_pressure_deficit
from scionary.dome.limits import AirLimits
from scionary.dome.marching import Path
from scionary.dome.outside import OutsideAir, Vents
from scionary.dome.report import AirReport, Spread, air_report
from scionary.dome.simulate import DomeAir, simulate_dome
from scionary.dome.spec import DomeSpec, HeatMat

__all__ = [
    "AirLimits",
    "AirReport",
    "DomeAir",
    "DomeSpec",
    "Episode",
    "HeatAccount",
    "HeatMat",
    "Kind",
    "Measure",
    "OutsideAir",
    "Path",
    "Spread",
    "Vents",
    "air_report",
    "callus_degree_days",
    "dew_point",
    "heat_account",
    "saturation_vapour_pressure",
    "simulate_dome",
    "vapour_pressure_deficit",
]
