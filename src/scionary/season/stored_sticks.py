"""Sticks between tree and bench: how long, how cold, moist or dry."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from scionary.errors import BadValue
from scionary.language import say
from scionary.season.cut_limits import COMMON, CutLimits
from scionary.season.reasons import Rating, Reason


@dataclass(frozen=True)
class StoredSticks:
    """How sticks were kept between tree and bench.

    Attributes
    ----------
    leafy : bool
        Cut in leaf; False: dormant.
    days : float or None
        Days from the cut to the graft [d], 0 to 1000.
    temperature_c : float or None
        Temperature of the store [°C], -30 to 50.
    dry : bool or None
        True: they lay dry, without moist wrapping.
    """

    leafy: bool
    days: float | None = None
    temperature_c: float | None = None
    dry: bool | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        for name, low, high in (("days", 0.0, 1000.0), ("temperature_c", -30.0, 50.0)):
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise BadValue(name, value, f"{low:g} to {high:g}")

    def to_dict(self) -> dict[str, Any]:
        """Give plain values, as a record keeps them and a model of takes may use them.

        Returns
        -------
        dict
            One entry a field.
        """
        return {each.name: getattr(self, each.name) for each in fields(self)}

    def reasons(self, limits: CutLimits | None = None) -> tuple[Reason, ...]:
        """Hold the storing against what growers say.

        Parameters
        ----------
        limits : CutLimits, optional
            What it is held against.

        Returns
        -------
        tuple of Reason
            One for each thing known, the worst first.
        """
        limits = limits or CutLimits()
        kind = "leafy" if self.leafy else "dormant"
        found = []
        for quantity, value, name, unit in (
            ("stored_days", self.days, f"stored_{kind}_days", "d"),
            ("stored_temperature", self.temperature_c, f"stored_{kind}_c", "°C"),
        ):
            if value is not None:
                limit = getattr(limits, name)
                rating = Rating.GOOD if value <= limit else Rating.DOUBT
                told = {"value": value, "limit": limit}
                words = say("Stored for {value:g} days; at most {limit:g} are usual.", **told)
                if unit == "°C":
                    words = say("Stored at {value:g} °C; at most {limit:g} °C is usual.", **told)
                found.append(Reason(quantity, value, unit, limit, limits.source(name), rating, words))
        if self.dry is not None:
            words = say("They lay dry.") if self.dry else say("They lay moist.")
            found.append(Reason("stored_dry", self.dry, "", "moist", COMMON, Rating.BAD if self.dry else Rating.GOOD, words))
        return tuple(sorted(found, key=lambda reason: -reason.rating))
