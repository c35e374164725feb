"""The demo alone: how often its known truth lies inside the ranges that the pages show."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from scionary.answers.rates import CONFIDENCE, RatesAnswer
from scionary.book.models import Nursery
from scionary.language import say


@dataclass(frozen=True)
class TruthAnswer:
    """How many ranges hold the truth, which do not, and what should be expected."""

    inside: int
    of: int
    outside: list[str]

    @property
    def sentence(self) -> str:
        expected = round(CONFIDENCE * self.of)
        return say(
            "{inside} of {all} ranges hold the demo's own truth; about {expected} of {all} should.",
            inside=self.inside,
            all=self.of,
            expected=expected,
        )

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "sentence": self.sentence}


def known_truth(nursery: Nursery, answer: RatesAnswer) -> TruthAnswer | None:
    """The truth held against the ranges of the rates by cultivar; None in a real book, for another factor or rate."""
    truth = (nursery.demo_truth or {}).get("long_run", {})
    if not truth or answer.factor != "cultivar" or answer.kind != "long_run":
        return None
    rows = [row for row in answer.rows if row.key in truth]
    outside = [row.name for row in rows if not row.low <= truth[row.key][answer.stage] <= row.high]
    return TruthAnswer(len(rows) - len(outside), len(rows), outside)
