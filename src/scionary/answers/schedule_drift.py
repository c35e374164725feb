"""How a season goes against the plan that was taken to the bench, and how plans of past seasons came out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scionary.answers.growing_year import year_at
from scionary.answers.schedule import Drift, Schedule, WishOutlook
from scionary.answers.schedule_plain import from_plain
from scionary.answers.season_problem import Season
from scionary.answers.words import plural
from scionary.book import queries
from scionary.book.models import AcceptedPlan, Graft
from scionary.language import say


@dataclass(frozen=True)
class WishScore:
    """One wish of a past plan: what was planned, made, expected, and what came of it; `known` of the grafts made are known."""

    name: str
    wanted: int
    planned: int
    made: int
    expected: float
    low: int
    high: int
    taken: int
    known: int

    @property
    def inside(self) -> bool | None:
        """Whether what came lies in the range that was told; None while too little is known or other numbers were grafted."""
        if self.made == 0 or self.known < self.made:
            return None
        return self.low <= self.taken <= self.high


@dataclass(frozen=True)
class PlanScore:
    """A plan that was taken to the bench, against what happened."""

    season: int
    accepted_on: date
    wishes: tuple[WishScore, ...]
    value_expected: float
    value_so_far: float

    @property
    def sentence(self) -> str:
        """Planned 212 and made 190; of 12 wishes 7 came out in the range that was told."""
        judged = [wish.inside for wish in self.wishes if wish.inside is not None]
        told = say(
            "{season}: {planned} planned, {made} made, {taken} known to have taken of {expected} expected.",
            season=self.season, planned=plural(sum(wish.planned for wish in self.wishes), "graft"),
            made=sum(wish.made for wish in self.wishes), taken=sum(wish.taken for wish in self.wishes),
            expected=round(sum(wish.expected for wish in self.wishes)),
        )  # fmt: skip
        if not judged:
            return f"{told} {say('No wish can be judged yet: not all of its grafts are known.')}"
        verdict = say(
            "Of {judged} that can be judged, {inside} came out in the range that was told; nine in ten would.",
            judged=plural(len(judged), "wish", "wishes"), inside=sum(judged),
        )  # fmt: skip
        return f"{told} {verdict}"


def accepted(season: int) -> tuple[AcceptedPlan, Schedule] | None:
    """The plan taken to the bench last, with its schedule; None where numbers alone were taken."""
    for row in AcceptedPlan.objects.filter(season=season, retired=False).order_by("-accepted_at"):
        if row.schedule:
            return row, from_plain(Schedule, row.schedule)
    return None


def drift_of(season: Season, now: Schedule) -> tuple[Drift, ...]:
    """Each wish of the accepted plan: grafts planned by today and made, finished plants expected then and now."""
    found = accepted(season.facts.season)
    if found is None:
        return ()
    _, then = found
    by_wish = {wish.wish: wish for wish in now.wishes}
    rows = []
    for wish in then.wishes:
        after = by_wish.get(wish.wish)
        planned = wish.made + sum(row.grafts for row in then.rows if row.wish == wish.wish and row.week < season.facts.first_monday)
        made = _made(season, wish)
        rows.append(Drift(wish.wish, wish.name, planned, made, wish.expected, after.expected if after else 0.0))
    return tuple(rows)


def drift_words(drift: Sequence[Drift]) -> list[str]:
    """How it goes, of the wishes of which something was due or is made, or of which other numbers are expected now."""
    told = [each.words for each in drift if each.planned or each.made or round(each.expected_then) != round(each.expected_now)]
    if drift and len(told) < len(drift):
        rest = plural(len(drift) - len(told), "wish", "wishes")
        told.append(say("{wishes}: nothing is due by now, and as much is expected as then.", wishes=rest))
    return told


def _made(season: Season, wish: WishOutlook) -> int:
    """Grafts of the wish's cultivar made this year, lost ones too; two wishes of a cultivar share them by what they want."""
    same = [each for each in season.facts.wishes if str(each.cultivar) == wish.cultivar]
    count = sum(str(graft.cultivar) == wish.cultivar for graft in season.facts.made)
    wanted = sum(each.wanted for each in same)
    return count if len(same) < 2 else round(count * wish.wanted / max(wanted, 1))


def plan_scores() -> list[PlanScore]:
    """Every season's last accepted schedule against what is known by now, the newest first."""
    seasons = AcceptedPlan.objects.filter(retired=False).values_list("season", flat=True).distinct().order_by("-season")
    found = [(season, accepted(season)) for season in dict.fromkeys(seasons)]
    return [_score(season, *each) for season, each in found if each is not None]


def _score(season: int, plan: AcceptedPlan, schedule: Schedule) -> PlanScore:
    nursery = queries.nursery()
    results: dict[str, list[Graft]] = {}
    near = Graft.objects.filter(grafted_at__year__gte=season - 1, grafted_at__year__lte=season + 1).exclude(cultivar=None)
    for graft in near.select_related("plant"):
        if year_at(graft.grafted_at.astimezone(nursery.zone).date(), nursery) == season:
            results.setdefault(str(graft.cultivar_id), []).append(graft)
    wishes = tuple(_wish_score(wish, results, schedule) for wish in schedule.wishes)
    so_far = sum(min(score.taken, wish.wanted) * wish.worth for score, wish in zip(wishes, schedule.wishes, strict=True)) - schedule.cost
    day = plan.accepted_at.astimezone(nursery.zone).date()
    return PlanScore(season, day, wishes, schedule.value, so_far)


def _wish_score(wish: WishOutlook, results: dict[str, list[Graft]], schedule: Schedule) -> WishScore:
    grafts = results.get(wish.cultivar, [])
    same = [each for each in schedule.wishes if each.cultivar == wish.cultivar]
    share = wish.wanted / max(sum(each.wanted for each in same), 1)
    taken = [graft for graft in grafts if graft.in_leaf == Graft.Answer.YES]
    lost = [graft for graft in grafts if graft.in_leaf == Graft.Answer.NO or graft.lost_at is not None]
    known = len(taken) + len([graft for graft in lost if graft.in_leaf != Graft.Answer.YES])
    numbers = (round(len(each) * share) if len(same) > 1 else len(each) for each in (grafts, taken))
    made, took = numbers
    return WishScore(
        wish.name,
        wish.wanted,
        wish.grafts + wish.made,
        made,
        wish.expected,
        wish.low,
        wish.high,
        took,
        round(known * share) if len(same) > 1 else known,
    )
