"""Do a stock and a scion suit each other in thickness: a method's window, held against two measurements."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from scionary.errors import BadValue
from scionary.language import say


class Fit(StrEnum):
    """What a page says about a pair; its words are chosen by this key."""

    FITS = "fits"
    SCION_TOO_THIN = "scion_too_thin"
    SCION_TOO_THICK = "scion_too_thick"


@dataclass(frozen=True)
class ThicknessAdvice:
    """How a scion's thickness stands to its stock's.

    Attributes
    ----------
    ratio : float
        Scion over stock; 1 is equal, below 1 the stock is the thicker.
    fits : bool
        True inside the method's window, its ends included.
    words_key : Fit
        Which words to show.
    assumptions : tuple of dict
        The window: ``name``, ``value``, ``unit``, ``source``.
    """

    ratio: float
    fits: bool
    words_key: Fit
    assumptions: tuple[dict[str, Any], ...]

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        return {
            "ratio": self.ratio,
            "fits": self.fits,
            "words_key": self.words_key.value,
            "assumptions": [dict(each) for each in self.assumptions],
        }


def thickness_advice(stock_mm: float, scion_mm: float, *, low_ratio: float, high_ratio: float) -> ThicknessAdvice:
    """Hold scion over stock against a method's window.

    The window belongs to the method and a person edits it: growers disagree about it, and no trial that settles it
    was found. A pair outside the window is advice, not a ban.

    Parameters
    ----------
    stock_mm, scion_mm : float
        Diameters where the two will meet [mm], above 0.
    low_ratio, high_ratio : float
        The method's window of scion over stock, above 0, low at most high.

    Returns
    -------
    ThicknessAdvice
        The ratio, whether it fits, which words to show, and the window as assumptions.

    Raises
    ------
    BadValue
        When a diameter or the window makes no sense; the message names it.
    """
    for name, value in (("stock_mm", stock_mm), ("scion_mm", scion_mm), ("low_ratio", low_ratio), ("high_ratio", high_ratio)):
        if not (math.isfinite(value) and value > 0):
            raise BadValue(name, value, say("a number above 0"))
    if low_ratio > high_ratio:
        raise BadValue("low_ratio", low_ratio, say("at most high_ratio, which is {high_ratio}", high_ratio=f"{high_ratio:g}"))
    ratio = scion_mm / stock_mm
    key = Fit.SCION_TOO_THIN if ratio < low_ratio else Fit.SCION_TOO_THICK if ratio > high_ratio else Fit.FITS
    return ThicknessAdvice(
        ratio=ratio,
        fits=key is Fit.FITS,
        words_key=key,
        assumptions=(_window_end("low_ratio", low_ratio), _window_end("high_ratio", high_ratio)),
    )


def _window_end(name: str, value: float) -> dict[str, Any]:
    return {"name": name, "value": value, "unit": "scion ÷ stock", "source": say("the method's window; common practice, no source")}
