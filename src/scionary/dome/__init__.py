"""The healing air: humidity, and what a dome's logger says."""

from scionary.dome.advise import Act, Action, Advice, PotWater, pot_water, what_to_do
from scionary.dome.callus import CallusClock, callus_clock, callus_degree_days, callus_speed
from scionary.dome.day_night import PartOfDay, day_and_night
from scionary.dome.episodes import Episode, Kind, Measure
from scionary.dome.fit import fit_dome
from scionary.dome.fitted import DomeFit, Doubt, Estimate, Told
from scionary.dome.foretell import Outlook, Ranged, what_will_happen
from scionary.dome.harden import hardening_steps
from scionary.dome.heat_account import HeatAccount, heat_account
from scionary.dome.humidity import (
    absolute_humidity,
    dew_point,
    saturation_vapour_pressure,
    vapour_pressure,
    vapour_pressure_deficit,
    wet_bulb,
)
from scionary.dome.inside import InsideAir
from scionary.dome.limits import AirLimits
from scionary.dome.marching import Path
from scionary.dome.moisture import Moisture, moisture
from scionary.dome.outside import OutsideAir
from scionary.dome.practice import Opening, common_practice_steps, may_open
from scionary.dome.replanning import replan, wilted
from scionary.dome.report import AirReport, Spread, air_report
from scionary.dome.salt import SaltTest, salt_humidity, salt_test
from scionary.dome.sensors import Likeness, Pair, SensorPair, Which, compare_sensors, merge_sensors
from scionary.dome.series import Readings, Stretches, order_readings, stretches_of
from scionary.dome.simulate import DomeAir, simulate_dome
from scionary.dome.spec import DomeSpec, HeatMat
from scionary.dome.usual import Unlikeness, unlike_usual
from scionary.dome.vent_steps import Basis, Met, VentStep
from scionary.dome.vents import Vents
from scionary.dome.wetness import Wetness, wetness

__all__ = [
    "Act",
    "Action",
    "Advice",
    "AirLimits",
    "AirReport",
    "Basis",
    "CallusClock",
    "DomeAir",
    "DomeFit",
    "DomeSpec",
    "Doubt",
    "Episode",
    "Estimate",
    "HeatAccount",
    "HeatMat",
    "InsideAir",
    "Kind",
    "Likeness",
    "Measure",
    "Met",
    "Moisture",
    "Opening",
    "Outlook",
    "OutsideAir",
    "Pair",
    "PartOfDay",
    "Path",
    "PotWater",
    "Ranged",
    "Readings",
    "SaltTest",
    "SensorPair",
    "Spread",
    "Stretches",
    "Told",
    "Unlikeness",
    "VentStep",
    "Vents",
    "Wetness",
    "Which",
    "absolute_humidity",
    "air_report",
    "callus_clock",
    "callus_degree_days",
    "callus_speed",
    "common_practice_steps",
    "compare_sensors",
    "day_and_night",
    "dew_point",
    "fit_dome",
    "hardening_steps",
    "heat_account",
    "may_open",
    "merge_sensors",
    "moisture",
    "order_readings",
    "pot_water",
    "replan",
    "salt_humidity",
    "salt_test",
    "saturation_vapour_pressure",
    "simulate_dome",
    "stretches_of",
    "unlike_usual",
    "vapour_pressure",
    "vapour_pressure_deficit",
    "wet_bulb",
    "wetness",
    "what_to_do",
    "what_will_happen",
    "wilted",
]
