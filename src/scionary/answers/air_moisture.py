"""The water in a dome's air: dew point, wet bulb, grams of vapour, in words and as numbers."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from scionary.answers.air import AirAnswer
from scionary.answers.air_facts import Fact
from scionary.book.models import Nursery
from scionary.dome import Moisture, moisture
from scionary.language import say
from scionary.units import temperature_words


def moisture_of(air: AirAnswer) -> Moisture | None:
    """Of what the sensor wrote; None where it wrote nothing."""
    rows = air.readings
    return moisture(rows[:, 0], rows[:, 1], rows[:, 2], air.limits) if air.report else None


def moisture_plain(air: AirAnswer) -> dict[str, Any] | None:
    """As plain values; an unknown number is None."""
    found = moisture_of(air)
    if found is None:
        return None
    return {name: {part: None if np.isnan(value) else value for part, value in each.items()} for name, each in asdict(found).items()}


def moisture_facts(air: AirAnswer, nursery: Nursery) -> list[Fact]:
    """Lines of a report; none where no reading holds both temperature and humidity."""
    found = moisture_of(air)
    if found is None or np.isnan(found.dew_point_c.mean):
        return []
    unit, dew, vapour = nursery.temperature_unit, found.dew_point_c, found.absolute_humidity_g_m3
    shown = {"low": temperature_words(dew.low, unit), "high": temperature_words(dew.high, unit)}
    told = say("{mean} on the mean, {low} to {high}", mean=temperature_words(dew.mean, unit), **shown)
    wet = say("{mean} on the mean", mean=temperature_words(found.wet_bulb_c.mean, unit))
    held = say("{mean:.1f} g/m³ on the mean, {high:.1f} at most", mean=vapour.mean, high=vapour.high)
    return [
        Fact(say("Dew point"), told, say("What is cooler than this gets wet.")),
        Fact(say("Wet bulb"), wet, say("At sea level: as cool as a wet leaf in moving air can get.")),
        Fact(say("Water in the air"), held),
    ]
