"""Is this a morning to cut scions? A verdict with its reasons, from a mother tree's water, the air, frost, wet and the wood's stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from scionary.language import say
from scionary.season.cut_limits import CutLimits
from scionary.season.cut_reasons import demand_reason, frost_reason, stage_reason, water_reasons, wet_reason
from scionary.season.morning_facts import Morning
from scionary.season.reasons import Rating, Reason


@dataclass(frozen=True)
class CutVerdict:
    """Whether to cut this morning.

    Attributes
    ----------
    rating : Rating
        The worst of the reasons.
    reasons : tuple of Reason
        The worst first.
    unknown : tuple of str
        Quantities of which nothing is known and which no other answer stands in for.
    words : str
        The verdict in one sentence.
    """

    rating: Rating
    reasons: tuple[Reason, ...]
    unknown: tuple[str, ...]
    words: str

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            One entry a field; ratings are words.
        """
        reasons = [asdict(reason) | {"rating": reason.rating.name.lower()} for reason in self.reasons]
        return {"rating": self.rating.name.lower(), "reasons": reasons, "unknown": list(self.unknown), "words": self.words}


def morning_to_cut(morning: Morning, limits: CutLimits | None = None) -> CutVerdict:
    """Say whether this is a morning to cut scions from a mother tree.

    What a person saw counts before what was computed: leaves that hang at dawn are bad whatever the balance says, and a balance
    that says stress beside firm leaves leaves a doubt. Where weather is not known three plain answers are enough.

    Parameters
    ----------
    morning : Morning
        What is known.
    limits : CutLimits, optional
        What it is held against.

    Returns
    -------
    CutVerdict
        Good, doubt or bad, with reasons.
    """
    limits = limits or CutLimits()
    found = [
        stage_reason(morning, limits),
        *water_reasons(morning, limits),
        demand_reason(morning, limits),
        frost_reason(morning, limits),
        wet_reason(morning, limits),
    ]
    reasons = tuple(sorted((reason for reason in found if reason is not None), key=lambda reason: -reason.rating))
    rating = max((reason.rating for reason in reasons), default=Rating.DOUBT)
    return CutVerdict(rating, reasons, _unknown(morning), _sentence(rating, reasons))


def _sentence(rating: Rating, reasons: Sequence[Reason]) -> str:
    if rating is Rating.GOOD:
        return say("A morning to cut.")
    why = " ".join(reason.words for reason in reasons if reason.rating is rating)
    return say("Not this morning: {why}", why=why) if rating is Rating.BAD else say("In doubt: {why}", why=why)


def _unknown(morning: Morning) -> tuple[str, ...]:
    missing = {
        "stage": morning.stage is None and not morning.stage_chances,
        "firm": morning.leafy and morning.stress_low is None and morning.firm_at_dawn is None,
        "soaked": morning.leafy and morning.soaked is None and morning.soaked_mm is None and morning.stress_low is None,
        "demand": morning.leafy and morning.demand_kpa is None,
        "frost": morning.night_low_c is None and morning.now_c is None,
        "wet": morning.leaves_dry is None and morning.wet_mm is None,
    }
    return tuple(name for name, is_missing in missing.items() if is_missing)
