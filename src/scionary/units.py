"""Units: conversions, reading and writing lengths and temperatures, range checks.

Everything is stored in SI (millimetres or metres as named, degrees Celsius, kPa). A person may read and
type inches with fractions and degrees Fahrenheit.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue

MM_PER_INCH = 25.4  # exact, by definition
LITRES_PER_US_QUART = 0.946352946  # exact, by definition
TRADE_GALLON_LITRES = 3 * LITRES_PER_US_QUART  # common practice: a trade gallon is about 3 US quarts

Float = npt.NDArray[np.float64]


def as_floats(name: str, value: Any) -> Float:
    """Turn a number or anything array-like into a float array.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    value : array_like
        What was given; a number gives an array of shape ().

    Returns
    -------
    ndarray of float64
        Same shape; NaN is kept.

    Raises
    ------
    BadValue
        When it holds something that is not a number.
    """
    try:
        return np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise BadValue(name, value, "numbers") from error


def check_range(name: str, value: Any, low: float, high: float, unit: str = "") -> Float:
    """Check that every number lies in ``[low, high]``; NaN passes (it means: not measured).

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    value : array_like
        Numbers to check.
    low, high : float
        Allowed range, both ends included; infinities allowed.
    unit : str
        Shown in the message.

    Returns
    -------
    ndarray of float64
        The numbers, as floats.

    Raises
    ------
    BadValue
        Naming the first number outside the range, and its index in an array.
    """
    numbers = as_floats(name, value)
    refuse_where((numbers < low) | (numbers > high), name, numbers, f"{low:g} to {high:g} {unit}".strip())
    return numbers


def refuse_where(wrong: Any, name: str, numbers: Float, allowed: str) -> None:
    """Refuse an argument at the first place where it is wrong.

    Parameters
    ----------
    wrong : bool or ndarray of bool
        True where the number cannot be taken; broadcasts against `numbers`.
    name : str
        The argument's name, for the message.
    numbers : ndarray
        The argument.
    allowed : str
        What is allowed, in words.

    Raises
    ------
    BadValue
        When any place is wrong, naming the first one and its index in an array.
    """
    if not np.any(wrong):
        return
    places, values = np.broadcast_arrays(wrong, numbers)
    if values.ndim == 0:
        raise BadValue(name, float(values), allowed)
    first = tuple(int(i) for i in np.argwhere(places)[0])
    raise BadValue(name, float(values[first]), allowed, index=first if len(first) > 1 else first[0])


def like_input(result: Float, *inputs: Any) -> Any:
    """Give a plain float when every input was a plain number, else the array.

    Parameters
    ----------
    result : ndarray
        What was computed.
    *inputs : array_like
        The arguments that it was computed from.

    Returns
    -------
    float or ndarray
        A Python float for all-scalar inputs.
    """
    if all(np.ndim(value) == 0 for value in inputs) and np.ndim(result) == 0:
        return float(result)
    return result


def celsius_from_fahrenheit(temperature_f: float) -> float:
    """Turn °F into °C.

    Parameters
    ----------
    temperature_f : float
        Temperature in °F.

    Returns
    -------
    float
        Temperature in °C.
    """
    return (temperature_f - 32.0) / 1.8


def fahrenheit_from_celsius(temperature_c: float) -> float:
    """Turn °C into °F.

    Parameters
    ----------
    temperature_c : float
        Temperature in °C.

    Returns
    -------
    float
        Temperature in °F.
    """
    return temperature_c * 1.8 + 32.0


_FRACTION = re.compile(r"^(?:(?P<whole>\d+)[\s-]+)?(?P<over>\d+)\s*/\s*(?P<under>\d+)$")
_UNIT = re.compile(r"\s*(?P<unit>mm|cm|m|in|inch|inches|\"|″)$", re.IGNORECASE)
_MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0}


def read_length_mm(text: str, unit: str = "mm") -> float:
    """Read a length as a person types it: ``6.8``, ``6,8 mm``, ``5/8``, ``1 1/4 in``, ``2"``.

    Parameters
    ----------
    text : str
        What was typed; a unit in the text wins over `unit`.
    unit : {"mm", "in"}
        The unit when the text names none.

    Returns
    -------
    float
        Millimetres, zero or more.

    Raises
    ------
    BadValue
        When it is no length; the message gives examples.
    """
    body = text.strip()
    named = _UNIT.search(body)
    if named:
        unit, body = named["unit"].lower(), body[: named.start()].strip()
    factor = _MM_PER.get(unit, MM_PER_INCH)
    fraction = _FRACTION.match(body)
    try:
        if fraction:
            number = int(fraction["whole"] or 0) + Fraction(int(fraction["over"]), int(fraction["under"]))
        else:
            number = float(body.replace(",", "."))  # type: ignore[assignment]
    except (ValueError, ZeroDivisionError) as error:
        raise BadValue("length", text, "a length such as 6.8, 5/8 in or 1 1/4 in") from error
    value = float(number) * factor
    if not math.isfinite(value):
        raise BadValue("length", text, "a length such as 6.8, 5/8 in or 1 1/4 in")
    if value < 0:
        raise BadValue("length", text, "a length of zero or more")
    return value


def length_words(length_mm: float, unit: str = "mm", *, part: int = 16) -> str:
    """Say a length: ``6.8 mm``, or inches to the nearest sixteenth: ``1 1/4 in``.

    Parameters
    ----------
    length_mm : float
        Millimetres.
    unit : {"mm", "in"}
        How the person reads lengths.
    part : int
        Smallest part of an inch shown, as its denominator.

    Returns
    -------
    str
        Number and unit.
    """
    if unit == "mm":
        return f"{length_mm:.0f} mm" if length_mm >= 20 else f"{length_mm:.1f} mm"
    parts = round(length_mm / MM_PER_INCH * part)
    whole, rest = divmod(parts, part)
    if not rest:
        return f"{whole} in"
    fraction = Fraction(rest, part)
    shown = f"{fraction.numerator}/{fraction.denominator}"
    return f"{whole} {shown} in" if whole else f"{shown} in"


def temperature_words(temperature_c: float, unit: str = "C") -> str:
    """Say a temperature in whole degrees of the person's unit: ``21 °C`` or ``70 °F``.

    Parameters
    ----------
    temperature_c : float
        Temperature in °C.
    unit : str
        ``C`` or ``F``, the unit that the person reads.

    Returns
    -------
    str
        Whole degrees with their unit.
    """
    value = fahrenheit_from_celsius(temperature_c) if unit == "F" else temperature_c
    return f"{value:.0f} °{unit}"


_MILLIMETRES = re.compile(r"(?<![\d.,])(?P<low>\d+(?:[.,]\d+)?)(?:(?P<dash>\s?[–-]\s?| to )(?P<high>\d+(?:[.,]\d+)?))?\s?mm\b")


def in_unit(text: str, unit: str = "mm") -> str:
    """Rewrite the millimetres in a sentence for a person's unit: ``6–13 mm`` becomes ``1/4–1/2 in``.

    Parameters
    ----------
    text : str
        A sentence as it is stored.
    unit : {"mm", "in"}
        How the person reads lengths.

    Returns
    -------
    str
        The sentence; unchanged for ``mm``. A length below half a thirty-second of an inch stays in millimetres.
    """
    return text if unit == "mm" else _MILLIMETRES.sub(_in_inches, text)


def _in_inches(found: re.Match[str]) -> str:
    lengths = [float(number.replace(",", ".")) for number in (found["low"], found["high"]) if number is not None]
    if any(0 < length < MM_PER_INCH / 64 for length in lengths):
        return found[0]
    words = [length_words(length, "in", part=16 if length >= 3 or not length else 32).removesuffix(" in") for length in lengths]
    return f"{(found['dash'] or '').join(words)} in"
