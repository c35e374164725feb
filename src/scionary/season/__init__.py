"""When to cut and when to graft: sun, heat, chill, frost and water through the year."""

from scionary.season.chill import ChillRange, chill_portions, chill_range, utah_chill_units
from scionary.season.cut_limits import CutLimits
from scionary.season.daily_demand import DailyDemand, DemandMethod, daily_evapotranspiration, vapour_pressure_of_day, wind_at_2m
from scionary.season.dawn import cutting_times, readings_at, summed_before
from scionary.season.degree_days import growing_degree_days
from scionary.season.evapotranspiration import hargreaves_evapotranspiration, reference_evapotranspiration
from scionary.season.frost import FrostDates, frost_dates, warmest_day
from scionary.season.frost_chances import FrostChances, frost_chances
from scionary.season.growth import Stage, StageHeat, stage_chances
from scionary.season.heat_course import HeatCourse, heat_course
from scionary.season.heat_sums import HeatPriors, HeatSumFit, fit_heat_sums
from scionary.season.hours import DayExtremes, HoursByYear, days_of_hours, hours_by_year, hours_from_extremes
from scionary.season.light import (
    LightSource,
    daily_light_integral,
    light_of_days,
    light_of_series,
    ppfd_from_lux,
    ppfd_from_par,
    ppfd_from_solar,
)
from scionary.season.method_windows import MethodWindow, method_windows
from scionary.season.morning import CutVerdict, morning_to_cut
from scionary.season.morning_facts import Morning
from scionary.season.mornings import RankedMorning, best_mornings, mornings_of
from scionary.season.mother_tree import Soil, TreeWater, tree_balance
from scionary.season.reasons import Rating, Reason
from scionary.season.sky import clear_sky_radiation, sun_height
from scionary.season.stage_forecast import StageForecast, stage_forecast, weather_courses
from scionary.season.stored_sticks import StoredSticks
from scionary.season.sun import day_length, extraterrestrial_radiation
from scionary.season.sun_clock import sun_clock
from scionary.season.water import WaterBalance, available_water, stress_coefficient, water_deficit
from scionary.season.window_rules import DORMANT_WINTER, LEAFY_SUMMER, WindowRule
from scionary.season.windows import WindowMap, window_fraction, window_map, with_heating

__all__ = [
    "DORMANT_WINTER",
    "LEAFY_SUMMER",
    "ChillRange",
    "CutLimits",
    "CutVerdict",
    "DailyDemand",
    "DayExtremes",
    "DemandMethod",
    "FrostChances",
    "FrostDates",
    "HeatCourse",
    "HeatPriors",
    "HeatSumFit",
    "HoursByYear",
    "LightSource",
    "MethodWindow",
    "Morning",
    "RankedMorning",
    "Rating",
    "Reason",
    "Soil",
    "Stage",
    "StageForecast",
    "StageHeat",
    "StoredSticks",
    "TreeWater",
    "WaterBalance",
    "WindowMap",
    "WindowRule",
    "available_water",
    "best_mornings",
    "chill_portions",
    "chill_range",
    "clear_sky_radiation",
    "cutting_times",
    "daily_evapotranspiration",
    "daily_light_integral",
    "day_length",
    "days_of_hours",
    "extraterrestrial_radiation",
    "fit_heat_sums",
    "frost_chances",
    "frost_dates",
    "growing_degree_days",
    "hargreaves_evapotranspiration",
    "heat_course",
    "hours_by_year",
    "hours_from_extremes",
    "light_of_days",
    "light_of_series",
    "method_windows",
    "morning_to_cut",
    "mornings_of",
    "ppfd_from_lux",
    "ppfd_from_par",
    "ppfd_from_solar",
    "readings_at",
    "reference_evapotranspiration",
    "stage_chances",
    "stage_forecast",
    "stress_coefficient",
    "summed_before",
    "sun_clock",
    "sun_height",
    "tree_balance",
    "utah_chill_units",
    "vapour_pressure_of_day",
    "warmest_day",
    "water_deficit",
    "weather_courses",
    "wind_at_2m",
    "window_fraction",
    "window_map",
    "with_heating",
]
