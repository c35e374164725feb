"""When to cut and when to graft: sun, heat, frost and water through the year."""

from scionary.season.degree_days import growing_degree_days
from scionary.season.evapotranspiration import hargreaves_evapotranspiration, reference_evapotranspiration
from scionary.season.frost import FrostDates, frost_dates
from scionary.season.sun import day_length, extraterrestrial_radiation

__all__ = [
    "FrostDates",
    "day_length",
    "extraterrestrial_radiation",
    "frost_dates",
    "growing_degree_days",
    "hargreaves_evapotranspiration",
    "reference_evapotranspiration",
]
