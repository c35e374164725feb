"""What early signs taught this book: what each is worth, when buds push, and what a season will come to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from scionary.answers.bud_looks import FEWEST_LOOKS, LearnedPush, push_is_behind
from scionary.answers.early_signs import CONFIDENCE, Weights, weights
from scionary.answers.learned import learn, learned
from scionary.answers.season_total import QUICK_PLANTS, SeasonTotal, season_total
from scionary.answers.take_model import SEED
from scionary.answers.waiting_plants import SIGNS, AllAwaited, awaited
from scionary.answers.words import percent, percent_range, plural
from scionary.language import mark, say

if TYPE_CHECKING:
    from scionary.take import SignAccuracy

RESULT_VERSION = 1
_DID = {
    "stalk_drops": (mark("dropped their stalk"), mark("dropped its stalk")),
    "bud_moving": (mark("showed a moving bud"), mark("showed a moving bud")),
}
_STEP_DAYS, _FIRST_DAYS, _MOST_DAYS = 7, 35, 126  # days of the curve: from one to the other, further on until nearly all have pushed
_NEARLY_ALL = 0.95

Range = tuple[float, float, float]  # best guess, low, high


@dataclass(frozen=True)
class SignWorth:
    """What one sign is worth: `shown_by_takes` and `shown_by_failures` are shares that show it, each with its range.

    `counts` are grafts by sign and end, those that wait left out; `waiting` those that wait with the sign scored.
    """

    sign: str
    name: str
    counts: Mapping[str, int]
    waiting: int
    shown_by_takes: Range
    shown_by_failures: Range
    assumptions: tuple[str, ...]

    @property
    def scored(self) -> int:
        return sum(self.counts.values()) + self.waiting

    @property
    def followed(self) -> int:
        return sum(count for end, count in self.counts.items() if not end.endswith("_unknown"))

    @property
    def counted(self) -> str:
        """Of 20 that took, 17 dropped their stalk; so did 5 of 10 that failed."""
        yes, no = ((self.counts[f"yes_{end}"], self.counts[f"no_{end}"]) for end in ("taken", "lost"))
        did = say(_DID[self.sign][sum(yes) == 1])
        if not sum(yes) and not sum(no):
            return say("Of none on which it was scored is the end known yet.")
        if not sum(yes):
            return say(
                "Of {failed} that failed, {shown} {did}; none with a known end took.",
                failed=sum(no),
                shown=no[0],
                did=say(_DID[self.sign][sum(no) == 1]),
            )
        failed = (
            say("so did {shown} of {failed} that failed", shown=no[0], failed=sum(no)) if sum(no) else say("none with a known end failed")
        )
        return say("Of {took} that took, {shown} {did}; {failed}.", took=sum(yes), shown=yes[0], did=did, failed=failed)

    @property
    def worth(self) -> str:
        """What it says of grafts to come, with ranges."""
        takes, failures = (
            f"{percent(each[0])} ({percent_range(each[1], each[2])})" for each in (self.shown_by_takes, self.shown_by_failures)
        )
        return say(
            "Of grafts to come, {takes} of those that take show it, and {failures} of those that fail.", takes=takes, failures=failures
        )

    @property
    def followed_words(self) -> str:
        """How many were followed up to a known end."""
        gone = sum(self.counts.values()) - self.followed
        parts = [
            say("Scored on {grafts}: {followed} followed up to a known end", grafts=plural(self.scored, "graft"), followed=self.followed)
        ]
        parts += [say("{waiting} still wait", waiting=self.waiting)] * bool(self.waiting) + [
            say("{gone} never followed up", gone=gone)
        ] * bool(gone)
        return f"{', '.join(parts)}."

    @property
    def says(self) -> str:
        """How much it says, in words."""
        apart = self.shown_by_takes[0] - self.shown_by_failures[0]
        much = say("tells takes from failures well") if apart > 0.6 else say("is a hint") if apart > 0.25 else say("says little by itself")
        return f"{self.name[:1].upper()}{self.name[1:]} {much}."

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "scored": self.scored, "followed": self.followed, "counted": self.counted, "words": self.worth}


@dataclass(frozen=True)
class PushDay:
    """The share of takes whose bud has pushed by a day after grafting, and that of failures which stand pushed on it."""

    day: int
    mid: float
    low: float
    high: float
    if_lost: float

    @property
    def words(self) -> str:
        return f"{percent(self.mid)}, {percent_range(self.low, self.high)}"


@dataclass(frozen=True)
class PushFinding:
    """When buds push, in a season that comes; with what that was learned from."""

    days: Sequence[PushDay]
    took: int
    failed: int
    unknown: int
    seasons: tuple[str, ...]
    assumptions: tuple[str, ...]
    behind: bool = False

    @property
    def words(self) -> str:
        """Half of the takes have pushed by about day 31; on day 45 ..."""
        half = next((each.day for each in self.days if each.mid >= 0.5), None)
        last = next((each for each in self.days if each.mid >= 0.8), self.days[-1])
        begin = (
            say("Half of the buds of takes have moved by about day {half}", half=half)
            if half
            else say("By day {day} fewer than half have moved", day=last.day)
        )
        lost = say("On that day {if_lost} of failures stand in leaf on their reserves.", if_lost=percent(last.if_lost))
        return say("{begin}; by day {day} it is {last}. {lost}", begin=begin, day=last.day, last=last.words, lost=lost)

    @property
    def learned_from(self) -> str:
        unknown = say(", and {unknown} whose end is not known", unknown=self.unknown) if self.unknown else ""
        seasons = plural(len(self.seasons), "season", "seasons")
        return say(
            "Learned from looks at {took} grafts that took and {failed} that failed{unknown}, over {seasons}.",
            took=self.took,
            failed=self.failed,
            unknown=unknown,
            seasons=seasons,
        )

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "words": self.words}


@dataclass(frozen=True)
class SignsAnswer:
    """All that is learned of early signs; `total_awaited` says that a season's total is still being worked out."""

    worths: list[SignWorth]
    push: PushFinding | None
    push_coming: bool
    total: SeasonTotal | None
    total_awaited: bool

    @property
    def sentence(self) -> str:
        """The season's total while the truth is coming; else the sign that says most."""
        if self.total is not None:
            return self.total.words
        told = [worth for worth in self.worths if worth.followed]
        best = max(told, key=lambda each: each.shown_by_takes[0] - each.shown_by_failures[0], default=None)
        return best.says if best is not None else say("No early sign was followed up to a known end yet.")

    @property
    def no_push(self) -> str:
        """Why there is no curve; empty when there is one."""
        if self.push is not None:
            return ""
        if self.push_coming:
            return say("When buds push is worked out beside the pages, and stands here once that is done.")
        return say(
            "A curve needs looks at the buds of {fewest_looks} grafts with a known end. Until then a bud that "
            "moves is a sign like any other, whatever its day.",
            fewest_looks=FEWEST_LOOKS,
        )

    def to_dict(self) -> dict[str, Any]:
        told: dict[str, Any] = {"sentence": self.sentence, "signs": [worth.to_dict() for worth in self.worths]}
        told |= {"bud_push": self.push.to_dict() if self.push else None, "season": self.total.to_dict() if self.total else None}
        return told


def sign_findings() -> SignsAnswer:
    """What each early sign is worth, when buds push, and what the season will come to."""
    return _said(learned("sign_findings", RESULT_VERSION, lambda: _found(weights(), awaited())))


def _said(found: SignsAnswer) -> SignsAnswer:
    """What was learned, in the reader's language: it is kept in English."""
    from scionary.take import SIGN_PRIORS, PushPrior

    supposed = {worth.sign: SIGN_PRIORS[worth.sign].words() for worth in found.worths}
    worths = [
        replace(
            worth,
            name=SIGNS[worth.sign],
            assumptions=(*supposed[worth.sign], *map(say, worth.assumptions[len(supposed[worth.sign]) :])),
        )
        for worth in found.worths
    ]
    return replace(found, worths=worths, push=replace(found.push, assumptions=PushPrior().words()) if found.push else None)


def learn_sign_findings() -> None:
    """Find all this, for the pages of a large book."""
    learn("sign_findings", RESULT_VERSION, sign_findings)


def _found(using: Weights, all_awaited: AllAwaited) -> SignsAnswer:
    total, behind = season_total(), push_is_behind(all_awaited.grafts)
    return SignsAnswer(
        [worth for worth in (_worth(sign, using, all_awaited) for sign in SIGNS) if worth.scored],
        _push(using.push, behind=behind) if using.push else None,
        push_coming=behind,
        total=total,
        total_awaited=total is None and len(all_awaited.grafts) > QUICK_PLANTS,
    )


def _worth(sign: str, using: Weights, all_awaited: AllAwaited) -> SignWorth:
    accuracy: SignAccuracy = using.accuracies[sign]
    seen, unseen, at = accuracy.sensitivity, accuracy.specificity, list(SIGNS).index(sign)
    waiting = sum(not np.isnan(each.scores[at]) for each in all_awaited.everyone)
    return SignWorth(
        sign,
        SIGNS[sign],
        accuracy.counts,
        waiting,
        (seen.mean, seen.low, seen.high),
        (1 - unseen.mean, 1 - unseen.high, 1 - unseen.low),
        accuracy.assumptions,
    )


def _push(learned: LearnedPush, *, behind: bool) -> PushFinding:
    days = np.arange(_STEP_DAYS, _MOST_DAYS + 1, _STEP_DAYS)
    shares = learned.curve.chance_pushed(days, rng=SEED)
    table = np.quantile(shares, [0.5, (1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2], axis=0)
    lost = learned.curve.chance_pushed_if_lost(days, rng=SEED).mean(axis=0)
    rows = [PushDay(*row) for row in zip(days.tolist(), *table.tolist(), lost.tolist(), strict=True)]
    last = next((row.day for row in rows if row.mid >= _NEARLY_ALL), _MOST_DAYS)
    shown = [row for row in rows if row.day <= max(last, _FIRST_DAYS)]
    return PushFinding(
        shown, learned.took, learned.failed, learned.unknown, tuple(learned.curve.seasons), learned.curve.assumptions, behind=behind
    )
