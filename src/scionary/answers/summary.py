"""The season's summary for the terminal and the end of a walk: what is due, what the plan says, what the rates are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from scionary.answers.due import due
from scionary.answers.due_lines import DueAnswer
from scionary.answers.plan_answer import PlanAnswer
from scionary.answers.rates import RatesAnswer, rates
from scionary.answers.season_plan import season_plan


@dataclass(frozen=True)
class Summary:
    due: DueAnswer
    plan: PlanAnswer
    rates: RatesAnswer

    def to_dict(self) -> dict[str, Any]:
        return {"due": self.due.to_dict(), "plan": self.plan.to_dict(), "rates": self.rates.to_dict()}


def summary(*, today: date) -> Summary:
    """Due, plan and rates of the same book on the same day."""
    return Summary(due(today=today), season_plan(today=today), rates())
