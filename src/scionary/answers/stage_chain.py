"""From firm to leaf: what share of the grafts that reached one stage reached the next, and what is lost in between.

Only grafts whose outcome at both stages is known are counted; tallies say nothing of single grafts and are left out. What was counted
has its Wilson interval. What a coming season may bring comes from `take.pooled_rates` over the seasons: a beta-binomial model with one
share a season, so that one bad winter counts as one, and not as all its grafts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from scionary.answers.growing_year import year_at
from scionary.answers.learned import learn, learned
from scionary.answers.outcomes import graft_day, outcome, stage_seen
from scionary.answers.rates import CONFIDENCE
from scionary.answers.remembered import remembered
from scionary.answers.take_facts import all_grafts
from scionary.answers.take_model import SHORT_STAGES
from scionary.answers.words import percent, percent_range
from scionary.book import queries
from scionary.book.kinds import STAGES as ORDER
from scionary.language import say, several
from scionary.take import RateRange, pooled_rates, wilson_interval

RESULT_VERSION = 1
_STEPS = (("firm", "growing"), ("growing", "in_leaf"), ("firm", "in_leaf"))


@dataclass(frozen=True)
class Step:
    """Of `known` grafts that reached the earlier stage, `reached` reached the later one.

    `low` and `high` are the Wilson interval of the count, nine times in ten; `coming` what one coming season may bring.
    """

    earlier: str
    later: str
    known: int
    reached: int
    waiting: int
    seasons: int
    low: float
    high: float
    coming: RateRange

    @property
    def lost(self) -> int:
        return self.known - self.reached

    @property
    def share(self) -> float | None:
        return self.reached / self.known if self.known else None

    @property
    def name(self) -> str:
        return say("{later}, of those {earlier}", later=SHORT_STAGES[self.later], earlier=SHORT_STAGES[self.earlier])

    @property
    def words(self) -> str:
        """Of 92 grafts that were firm, 71 were growing later: 77 %, 69 to 84 %; 21 were lost in between."""
        if not self.known:
            return say(
                "Of no graft that was {earlier} is it known whether it was {later}.",
                earlier=SHORT_STAGES[self.earlier],
                later=SHORT_STAGES[self.later],
            )
        return say(
            "Of {known}, {reached}: {share}; {gone}.",
            known=several(
                self.known, "{count} graft that was {stage}", "{count} grafts that were {stage}", stage=SHORT_STAGES[self.earlier]
            ),
            reached=several(self.reached, "{count} was {stage}", "{count} were {stage}", stage=SHORT_STAGES[self.later]),
            share=self.share_words,
            gone=several(self.lost, "{count} was lost in between", "{count} were lost in between"),
        )

    @property
    def share_words(self) -> str:
        return f"{percent(self.reached / self.known)}, {percent_range(self.low, self.high)}" if self.known else say("not known yet")

    @property
    def coming_words(self) -> str:
        return f"{percent(self.coming.mean)}, {percent_range(self.coming.low, self.coming.high)}"


@dataclass(frozen=True)
class ChainAnswer:
    """The steps firm to growing, growing to in leaf, and firm to in leaf."""

    steps: list[Step]
    assumptions: list[str] = field(default_factory=list)

    @property
    def known(self) -> bool:
        return any(step.known for step in self.steps)

    @property
    def sentence(self) -> str:
        """Where most of the firm ones are lost."""
        whole = self.steps[-1]
        if whole.known:
            return whole.words
        counted = [step for step in self.steps if step.known]
        return counted[0].words if counted else say("Of no firm graft is a later stage known yet.")

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "sentence": self.sentence}


def stage_chain() -> ChainAnswer:
    """The share of grafts that went on from each stage to the next."""
    return learned("stage_chain", RESULT_VERSION, lambda: remembered("stage_chain", RESULT_VERSION, {"book": queries.stamp()}, _chain))


def learn_stage_chain() -> None:
    """Find the shares, for the pages of a large book."""
    learn("stage_chain", RESULT_VERSION, stage_chain)


def _chain() -> ChainAnswer:
    nursery = queries.nursery()
    grafts = all_grafts()
    seen = {stage: stage_seen(grafts, stage, nursery) for stage in ORDER}
    told = []
    for graft in grafts:
        outcomes = {stage: outcome(graft, stage, nursery, stage_seen=seen[stage](graft)) for stage in ORDER}
        told.append((year_at(graft_day(graft, nursery), nursery), outcomes))
    return ChainAnswer(
        [_step(told, earlier, later) for earlier, later in _STEPS],
        [
            say("Only grafts whose outcome at both stages is known count here, so these numbers are fewer than those of a single stage."),
            say("A season's share is taken to come from a spread that all seasons have (beta-binomial, project defaults, unsourced)."),
        ],
    )


def _step(told: Sequence[tuple[int, Mapping[str, bool | None]]], earlier: str, later: str) -> Step:
    by_season: dict[int, list[int]] = defaultdict(lambda: [0, 0])
    waiting = 0
    for season, outcomes in told:
        if outcomes[earlier] is not True:
            continue
        if outcomes[later] is None:
            waiting += 1
            continue
        by_season[season][0] += 1
        by_season[season][1] += outcomes[later] is True
    known, reached = (sum(cell[at] for cell in by_season.values()) for at in (0, 1))
    low, high = wilson_interval(reached, known, CONFIDENCE)
    counts = list(by_season.values())
    table = pooled_rates([cell[0] for cell in counts], [cell[1] for cell in counts], confidence=CONFIDENCE)
    return Step(earlier, later, known, reached, waiting, len(counts), low, high, table.new_level)
