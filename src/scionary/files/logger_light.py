"""A logger's column of light: which one it is, in which unit, and what no sensor can measure."""

from __future__ import annotations

import re

import numpy as np

from scionary.files.problems import ProblemList
from scionary.files.stamps import Floats, Integers
from scionary.language import say

LUX, PHOTONS, SUN, PAR = "lux", "µmol/m²/s", "W/m²", "W/m² of 400-700 nm"
_MOST = {LUX: 200_000.0, PHOTONS: 4000.0, SUN: 1500.0, PAR: 1000.0}  # of `scionary.season.light`
_BELOW = -10.0  # project default, unsourced: sensors of light read a little below nothing at night
_WATTS = re.compile(r"\bw\s*/?\s*(?:m|sqm)(?:\s*[-^]?\s*2|²|\b)|watt", re.IGNORECASE)
_UNITS = (
    (PHOTONS, re.compile(r"[µμu]mol|micromol|ppfd", re.IGNORECASE)),
    (LUX, re.compile(r"(?<![a-z])(?:k?lux|k?lx)(?![a-z])", re.IGNORECASE)),
)
_THOUSANDS = re.compile(r"(?<![a-z])k(?:lux|lx)(?![a-z])", re.IGNORECASE)
_PAR = re.compile(r"(?<![a-z])par(?![a-z])|photosynth", re.IGNORECASE)


def light_unit(header: str) -> str:
    """The unit of light that a header names; empty where it names none."""
    for unit, words in _UNITS:
        if words.search(header):
            return unit
    if _WATTS.search(header):
        return PAR if _PAR.search(header) else SUN
    return ""


def check_light(readings: Floats, lines: Integers, header: str, problems: ProblemList) -> Floats:
    """Light in the header's unit, thousands as such; blank what cannot be; a little below 0 is read as 0."""
    unit, most = light_unit(header), _MOST[light_unit(header)]
    light = readings * 1000.0 if _THOUSANDS.search(header) else readings
    with np.errstate(invalid="ignore"):
        outside = np.flatnonzero((light < _BELOW) | (light > most))
    for row in outside:
        what = say("light outside 0 to {most:g} {unit}: left blank", most=most, unit=unit)
        problems.add(int(lines[row]), header, f"{light[row]:g}", what)
    light = np.maximum(light, 0.0)
    light[outside] = np.nan
    return light
