"""What speaks for or against: a quantity, its value, what it is held against, and where that is from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class Rating(IntEnum):
    """How a reason, or the whole morning, speaks for cutting."""

    GOOD = 0
    DOUBT = 1
    BAD = 2


@dataclass(frozen=True)
class Reason:
    """One thing that speaks for or against.

    Attributes
    ----------
    quantity : str
        stress, soaked, firm, demand, frost, wet, stage, stored_days, stored_temperature or stored_dry.
    value : float, str, bool or None
        What it is; None: not known. A range is text, such as ``0.4 to 1``.
    unit : str
        Its unit, empty for shares and answers.
    limit : float, str or None
        What it was held against.
    source : str
        Where the limit is from.
    rating : Rating
        How it speaks.
    words : str
        One short sentence.
    """

    quantity: str
    value: float | str | bool | None
    unit: str
    limit: float | str | None
    source: str
    rating: Rating
    words: str
