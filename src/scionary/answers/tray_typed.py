"""A tray as it is typed: lengths in a person's unit, pots as '98', 'round 4 1/2 in', '2 x round 165'."""

from __future__ import annotations

import re

from scionary.answers.tray import PotAsk
from scionary.errors import BadValue, Refused
from scionary.language import say
from scionary.units import read_length_mm

_COUNT = re.compile(r"^(?P<count>\d{1,6})\s*[x×]\s*(?P<rest>\D*[\d./,].*)$", re.IGNORECASE)
_LEAST_MM, _MOST_MM = 1.0, 20_000.0


def length_typed(text: str, where: str, unit: str, *, least_mm: float = _LEAST_MM, most_mm: float = _MOST_MM) -> float:
    """A length as it was typed, within bounds; `where` names the option or field in a refusal."""
    remedy = say("Write it like 540, 540 mm or 21 1/4 in.")
    try:
        found = read_length_mm(text, unit)
    except BadValue:
        raise Refused(say("{typed!r} is no length.", typed=text[:40]), where=where, remedy=remedy) from None
    if not least_mm <= found <= most_mm:
        raise Refused(say("{typed!r} is out of range.", typed=text[:40]), where=where, remedy=remedy)
    return found


def tolerance_typed(text: str, where: str, unit: str) -> float:
    """A length that may be below zero."""
    body = text.strip()
    below = body.startswith(("-", "\N{MINUS SIGN}"))
    found = length_typed(body.lstrip("-\N{MINUS SIGN}"), where, unit, least_mm=0.0)
    return -found if below else found


def pot_typed(text: str, where: str, unit: str, *, round_ones: bool = False) -> PotAsk:
    """A kind of pot: its width, 'round' or 'square' before or after it, and how many before all."""
    counted = _COUNT.match(text.strip())
    rest, count = (counted["rest"], int(counted["count"])) if counted else (text, None)
    words = rest.casefold().split()
    shapes = [word for word in words if word in ("round", "square")]
    if len(shapes) > 1 or count == 0:
        raise Refused(
            say("{typed!r} is no pot.", typed=text[:40]), where=where, remedy=say("Write it like 98, round 4 1/2 in or 2 x round 165.")
        )
    size = " ".join(word for word in words if word not in ("round", "square"))
    return PotAsk(length_typed(size, where, unit), shapes == ["round"] or (round_ones and not shapes), count)
