"""What is learned beside the pages because it takes long: a large book's take model, bud push, a season's total, domes by their logs."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from scionary.answers import take_model
from scionary.answers.bud_looks import learn_push, push_is_behind
from scionary.answers.dome_model import fits_are_behind, learn_fits
from scionary.answers.early_signs import learn_accuracies, learn_chances
from scionary.answers.rates import learn_counts
from scionary.answers.season_total import learn_season_total
from scionary.answers.sign_findings import learn_sign_findings
from scionary.answers.stage_chain import learn_stage_chain
from scionary.answers.waiting import learn_waiting
from scionary.answers.waiting_plants import awaited
from scionary.answers.works import LastStep, Progress, tell
from scionary.book import queries
from scionary.language import say

_MODEL_SHARE, _PUSH_SHARE = 0.5, 0.9  # how far the work is after each


def is_behind() -> bool:
    """Whether something changed that pages do not learn while they are waited for."""
    return take_model.is_large() or fits_are_behind() or push_is_behind(awaited().grafts)


def learn(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work beside the pages: whatever is at hand already is not learned again."""

    def part(share: float, word: str) -> bool:
        return progress(share * _MODEL_SHARE, word)

    last = take_model.learn(arguments, part, now)
    tell(progress, _MODEL_SHARE, say("when buds push"))
    learn_push(awaited().grafts)
    tell(progress, _PUSH_SHARE, say("the season's total"))
    learn_season_total()
    learn_fits()
    if take_model.is_large():
        for learn_one in (learn_counts, learn_accuracies, learn_chances, learn_sign_findings, learn_stage_chain):
            learn_one()
        learn_waiting(today=now.astimezone(queries.nursery().zone).date())
    return last
