"""Thicknesses as a hand gives them: millimetres, 64ths of an inch, or the slot of a gauge card."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.units import MM_PER_INCH, read_length_mm

SIXTY_FOURTH_MM = MM_PER_INCH / 64.0
THINNEST_MM, THICKEST_MM = 1.0, 60.0  # project default, unsourced: stems outside are taken, but asked about
_ABOVE_0 = mark("more than 0: a stem has a thickness, such as 6.8 mm or 13/64 in")
THINNEST_SLOT_MM, THICKEST_SLOT_MM, SLOT_STEP_MM = 2.0, 12.0, 0.5


class Doubt(StrEnum):
    """Why a thickness is asked about again."""

    NONE = ""
    INCHES_AS_MM = "inches_typed_as_mm"
    SIXTY_FOURTHS_AS_INCHES = "64ths_typed_as_inches"
    MM_AS_INCHES = "mm_typed_as_inches"
    THIN = "thinner_than_usual"
    THICK = "thicker_than_usual"


@dataclass(frozen=True)
class Thickness:
    """A thickness that was typed.

    Attributes
    ----------
    typed : str
        As it stood.
    thickness_mm : float
        What that says, above 0.
    doubt : Doubt
        Why to ask again; `Doubt.NONE` when there is nothing to ask.
    guess_mm : float or None
        What was likely meant, when there is a guess; never taken unasked.
    """

    typed: str
    thickness_mm: float
    doubt: Doubt = Doubt.NONE
    guess_mm: float | None = None

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        return {**vars(self), "doubt": self.doubt.value}


def read_thickness(text: str, unit: str = "mm") -> Thickness:
    """Read a thickness as a thumb types it: ``6.8``, ``13/64``, ``1/4 in``; in 64ths, ``13``.

    Parameters
    ----------
    text : str
        What was typed; a unit in the text wins over `unit`.
    unit : {"mm", "in", "64ths"}
        The unit when the text names none; in 64ths a bare number counts 64ths of an inch.

    Returns
    -------
    Thickness
        What it says, and a doubt with a guess when it looks like another unit.

    Raises
    ------
    BadValue
        When it is no length above zero; the message gives examples.
    """
    body = text.strip()
    bare = body.replace(",", ".").replace(".", "", 1).isdecimal()
    if unit not in ("mm", "in", "64ths"):
        raise BadValue("unit", unit, say("mm, in or 64ths"))
    if body.startswith(("-", "−")):
        raise BadValue("thickness", text, say(_ABOVE_0))
    if unit == "64ths":
        value = float(body.replace(",", ".")) * SIXTY_FOURTH_MM if bare else read_length_mm(body, "in")
    else:
        value = read_length_mm(body, unit)
    if value <= 0.0:
        raise BadValue("thickness", text, say(_ABOVE_0))
    if _names_a_unit(body):
        return _unusual(text, value)
    return _guessed(text, body, value, unit)


def _names_a_unit(body: str) -> bool:
    return not body or not body[-1].isdigit()


def _guessed(text: str, body: str, value: float, unit: str) -> Thickness:
    """Hold a bare number against what stems are like, in its own unit and in the others."""
    if unit == "mm" and "/" in body:
        return Thickness(text, value, Doubt.INCHES_AS_MM, read_length_mm(body, "in"))
    if unit == "mm" and value < THINNEST_MM and _usual(value * MM_PER_INCH):
        return Thickness(text, value, Doubt.INCHES_AS_MM, value * MM_PER_INCH)
    if unit == "in" and value > THICKEST_MM:
        number = value / MM_PER_INCH
        if "." in body.replace(",", ".") or not _usual(number * SIXTY_FOURTH_MM):
            return Thickness(text, value, Doubt.MM_AS_INCHES, number if _usual(number) else None)
        return Thickness(text, value, Doubt.SIXTY_FOURTHS_AS_INCHES, number * SIXTY_FOURTH_MM)
    return _unusual(text, value)


def _unusual(text: str, value: float) -> Thickness:
    doubt = Doubt.THIN if value < THINNEST_MM else Doubt.THICK if value > THICKEST_MM else Doubt.NONE
    return Thickness(text, value, doubt)


def _usual(value: float) -> bool:
    return THINNEST_MM <= value <= THICKEST_MM


def gauge_slots(
    thinnest_mm: float = THINNEST_SLOT_MM, thickest_mm: float = THICKEST_SLOT_MM, step_mm: float = SLOT_STEP_MM
) -> tuple[float, ...]:
    """Give the widths of the slots of a gauge card.

    Parameters
    ----------
    thinnest_mm, thickest_mm, step_mm : float
        First width, last width, step [mm].

    Returns
    -------
    tuple of float
        Widths [mm].

    Raises
    ------
    BadValue
        When they make no card of 2 to 40 slots.
    """
    if not (0.0 < thinnest_mm < thickest_mm <= 40.0 and step_mm >= 0.1):
        raise BadValue(
            "slots", (thinnest_mm, thickest_mm, step_mm), say("0 < thinnest < thickest, up to 40 mm, in steps of 0.1 mm or more")
        )
    count = round((thickest_mm - thinnest_mm) / step_mm) + 1
    if not 2 <= count <= 40:
        raise BadValue("slots", count, say("2 to 40 slots"))
    return tuple(round(thinnest_mm + at * step_mm, 3) for at in range(count))


def gauge_reading(goes_mm: float, stops_mm: float) -> tuple[float, float]:
    """Tell a thickness from the slot that a stem goes into and the next one, into which it does not go.

    Parameters
    ----------
    goes_mm, stops_mm : float
        Widths of the two slots [mm].

    Returns
    -------
    (float, float)
        The middle, and half the distance, by which it may be off [mm].

    Raises
    ------
    BadValue
        When the stem goes into the narrower one.
    """
    if not 0.0 < stops_mm < goes_mm:
        raise BadValue("stops_mm", stops_mm, say("above 0 and below the slot that it goes into, {goes} mm", goes=f"{goes_mm:g}"))
    return (goes_mm + stops_mm) / 2.0, (goes_mm - stops_mm) / 2.0
