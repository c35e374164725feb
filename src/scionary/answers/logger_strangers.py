"""Whether a logger's file is the one that it is taken for: held against what the sensor showed before, and against the dome's others."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from scionary.answers.air_sensors import readings_of, sensors_said
from scionary.answers.words import percent
from scionary.book.models import Dome, Nursery, Sensor
from scionary.book.readings import load_readings
from scionary.dome import Readings, compare_sensors, unlike_usual
from scionary.dome.usual import UNLIKE_FROM
from scionary.files.loggers import LoggerFile
from scionary.language import say

_BEFORE_DAYS = 30  # project default, unsourced: longer ago it was another season


def stranger_words(read: LoggerFile, sensor: Sensor | None, dome: Dome | None, nursery: Nursery) -> list[str]:
    """What speaks against the file: each a question that a person can answer."""
    log = readings_of(np.column_stack([read.time_s, read.temperature_c, read.relative_humidity_pct]))
    begin, end = (datetime.fromtimestamp(float(at), nursery.zone) for at in (read.time_s[0], read.time_s[-1]))
    told = _unlike_before(log, sensor, begin) if sensor else []
    house = dome or (sensor.dome if sensor else None)
    if house is None:
        return told
    for other in Sensor.objects.filter(dome=house, retired=False).order_by("name"):
        if sensor is not None and other.pk == sensor.pk:
            continue
        pair = compare_sensors(log, readings_of(load_readings(other, begin, end + timedelta(seconds=1))))
        if not pair.same_air:
            told += sensors_said(read.name, other.name, pair, nursery).sentences[:-1]
    return told


def _unlike_before(log: Readings, sensor: Sensor, begin: datetime) -> list[str]:
    found = unlike_usual(log, readings_of(load_readings(sensor, begin - timedelta(days=_BEFORE_DAYS), begin)))
    shares = ((say("temperatures"), found.temperature_share), (say("humidities"), found.humidity_share))
    return [
        say(
            "{share} of the {readings} lie outside what {sensor} showed at those hours in the month before: is it another dome's "
            "file, or another unit?",
            share=percent(share),
            readings=readings,
            sensor=sensor.name,
        )
        for readings, share in shares
        if share >= UNLIKE_FROM
    ]
