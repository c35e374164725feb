"""How many grafts of a season will be firm while that is still coming: known ones, and those that wait, weighed together.

All that wait share the season's luck and what is seen on any of them, so the total is far less sure than a sum of single plants.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from scionary.answers.early_signs import DRAWS, STAGE, Weights, asked_of, reads_near, weigh, weights
from scionary.answers.growing_year import year_at
from scionary.answers.kept import kept, last_kept
from scionary.answers.outcomes import graft_day, outcome, stage_seen
from scionary.answers.take_facts import all_grafts
from scionary.answers.take_model import may_wait
from scionary.answers.waiting_plants import AllAwaited, Awaited, awaited
from scionary.answers.words import plural
from scionary.book import queries
from scionary.language import say

RESULT_VERSION = 1
QUICK_PLANTS = 300  # with more that wait, the total is worked out beside the pages
_FEWER_DRAWS = 2_000  # for many plants


@dataclass(frozen=True)
class SeasonTotal:
    """Of the grafts of a growing year: known to be firm, known lost, waiting, and never to be known; how many will be firm.

    `behind` says that something was written down since the total was worked out.
    """

    season: int
    grafts: int
    firm: int
    lost: int
    waiting: int
    unknown: int
    low: int
    middle: int
    high: int
    before: float
    behind: bool = False

    @property
    def words(self) -> str:
        """Of 231 grafts of 2027, between 120 and 160 will be firm, most likely about 140."""
        if self.grafts == 1:
            return say("One graft of {season}: its chance to be firm is told on its plant's page.", season=self.season)
        between = say("between {low} and {high}", low=self.low, high=self.high) if self.low < self.high else str(self.low)
        return say(
            "Of {grafts} grafts of {season}, {between} will be firm, most likely about {middle}.",
            grafts=self.grafts,
            season=self.season,
            between=between,
            middle=self.middle,
        )

    @property
    def rest(self) -> str:
        """What the total is made of."""
        never = (
            say(" {grafts} more left or went missing before it could be told: not counted.", grafts=plural(self.unknown, "graft"))
            if self.unknown
            else ""
        )
        expected = round(self.firm + self.before)
        return say(
            "{firm} are known to be firm, {lost} are lost or not firm, {waiting} wait; before any sign was seen "
            "on those about {expected} in all were to be expected. Nine times in ten the number lies in the "
            "range.{never}",
            firm=self.firm,
            lost=self.lost,
            waiting=self.waiting,
            expected=expected,
            never=never,
        )

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "words": self.words}


def season_total() -> SeasonTotal | None:
    """The total of the latest growing year in which grafts wait; None when none does, or when it is still being worked out."""
    if reads_near():
        return _last()
    waiting = awaited()
    members = _members(waiting)
    if not members:
        return None
    if not may_wait() and len(members) > QUICK_PLANTS:
        last = _last()
        return last if last is not None and str(last.season) == members[0].levels["season"] else None
    return _kept(weights(), waiting, members)


def _last() -> SeasonTotal | None:
    """The total as it was worked out last."""
    last = last_kept("season_total", RESULT_VERSION, _subject())
    return replace(last[0], behind=last[1] != _stamp()) if last is not None else None


def learn_season_total() -> None:
    """Work the total out, for the pages to show."""
    waiting = awaited()
    members = _members(waiting)
    if len(members) > QUICK_PLANTS:
        _kept(weights(), waiting, members)


def _members(waiting: AllAwaited) -> list[Awaited]:
    seasons = [each.levels.get("season", "") for each in waiting.everyone]
    return [each for each, season in zip(waiting.everyone, seasons, strict=True) if season == max(seasons)]


def _kept(using: Weights, waiting: AllAwaited, members: Sequence[Awaited]) -> SeasonTotal:
    known = _known(waiting, int(members[0].levels["season"]))
    asked = json.dumps([asked_of(using, members), known], sort_keys=True, default=str)
    content = hashlib.sha256(asked.encode()).hexdigest()
    return kept("season_total", RESULT_VERSION, _subject(), content, lambda: _worked_out(using, members, known), stamp=_stamp())


def _known(waiting: AllAwaited, season: int) -> tuple[int, int, int]:
    """Grafts of a season that are firm, lost, and never to be known."""
    nursery, grafts = queries.nursery(), all_grafts()
    seen = stage_seen(grafts, STAGE, nursery)
    own = [each for each in grafts if each.pk not in waiting.grafts and year_at(graft_day(each, nursery), nursery) == season]
    told = [outcome(each, STAGE, nursery, stage_seen=seen(each)) for each in own]
    # a rate waits with an early loss until the takes of its day are known; a total need not, since nothing brings it back
    gone = [each.lost_at is not None or each.replaced for each in own]
    ends = [False if end is None and lost else end for end, lost in zip(told, gone, strict=True)]
    return ends.count(True), ends.count(False), ends.count(None)


def _worked_out(using: Weights, members: Sequence[Awaited], known: tuple[int, int, int]) -> SeasonTotal:
    firm, lost, unknown = known
    found = weigh(using, members, None, draws=DRAWS if len(members) <= QUICK_PLANTS else _FEWER_DRAWS)
    return SeasonTotal(
        season=int(members[0].levels["season"]),
        grafts=firm + lost + len(members),
        firm=firm,
        lost=lost,
        waiting=len(members),
        unknown=unknown,
        low=firm + found.total_low,
        middle=firm + found.total_middle,
        high=firm + found.total_high,
        before=float(np.sum(found.before)),
    )


def _subject() -> str:
    """Whose total it is: books may stand in one folder."""
    return str(queries.nursery().pk)


def _stamp() -> str:
    return repr(queries.stamp())
