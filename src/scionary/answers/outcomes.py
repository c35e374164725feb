"""What a graft's records say of a stage, and when they are too early or out of season to say it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta

from scionary.answers.after_care import stage_date
from scionary.answers.growing_year import growing_year, in_leaf_season
from scionary.book import queries
from scionary.book.kinds import STAGES
from scionary.book.models import Graft, Nursery, Plant

LEAVES_HANG_DAYS = 90  # after the autumn equinox: leaves seen before are those of the year that ends; project default, unsourced
EARLY_DAYS = 21  # a scion lives on its reserves for weeks: firm before this is firm so far; project default, unsourced


def disputed(graft: Graft, stage: str) -> bool:
    """Whether two records disagree on what decides this stage."""
    return bool({stage, "state", "grafted"} & set(graft.disputed))


def answered(graft: Graft, stage: str, nursery: Nursery) -> bool | None:
    """What was scored at a stage, if it was scored when it could be told; None otherwise, and where records disagree.

    Firm and growing count from three weeks after grafting. In leaf counts in a later growing year than the graft's own, once last
    year's leaves have fallen, and "not in leaf" only while trees stand in leaf. A graft known to the month or year only is taken as it
    was written down.
    """
    answer = getattr(graft, stage)
    if answer is None or disputed(graft, stage):
        return None
    moment = getattr(graft, f"{stage}_at")
    if graft.precision == "day" and moment is not None:
        seen, grafted = moment.astimezone(nursery.zone).date(), graft_day(graft, nursery)
        if not _could_be_told(stage, answer == "yes", grafted, seen, nursery.latitude_deg):
            return None
    return bool(answer == "yes")


def outcome(graft: Graft, stage: str, nursery: Nursery, *, stage_seen: bool = True) -> bool | None:
    """Whether a graft reached a stage: None while that is not known.

    A graft lost on the way counts against the stage only once the stage was looked at on those of its day
    (`stage_seen`): until then the losses are known and the takes are not, and a rate of these would be too low. One that
    was scored no at a later stage and never at this one may have been lost in between: not known.
    """
    scored = answered(graft, stage, nursery)
    if scored is not None or disputed(graft, stage):
        return scored
    later = STAGES[STAGES.index(stage) + 1 :]
    if not stage_seen or any(answered(graft, name, nursery) is False for name in later):
        return None
    return False if graft.lost_at is not None or graft.replaced else None


def stage_seen(grafts: list[Graft], stage: str, nursery: Nursery) -> Callable[[Graft], bool]:
    """Whether the losses of a graft's day say anything of a stage yet.

    The stage could be seen: its date has come as far as the book goes, or one of that day was scored. And it was looked at: of that day's
    grafts no more still stand unscored than were scored. Otherwise the losses are known and the takes are not.
    """
    last = queries.reaches()
    reached = last.astimezone(nursery.zone).date() if last else date.min
    standing = set(Plant.objects.filter(state__in=queries.STANDING).values_list("pk", flat=True))
    scored, unscored = Counter[date](), Counter[date]()
    for graft in grafts:
        if answered(graft, stage, nursery) is not None:
            scored[graft_day(graft, nursery)] += 1
        elif graft.lost_at is None and not graft.replaced and graft.plant_id in standing:
            unscored[graft_day(graft, nursery)] += 1

    def seen(graft: Graft) -> bool:
        day = graft_day(graft, nursery)
        due = bool(scored[day]) or stage_date(stage, graft.method, day, nursery.latitude_deg) <= reached
        return due and unscored[day] <= scored[day]

    return seen


def graft_day(graft: Graft, nursery: Nursery) -> date:
    """The day of a graft at the nursery; worked out once for each graft that was read."""
    asked = (graft.grafted_at, nursery.time_zone)
    known = graft.__dict__.get("_day_at_nursery")
    if known is None or known[0] != asked:
        known = graft.__dict__["_day_at_nursery"] = (asked, graft.grafted_at.astimezone(nursery.zone).date())
    day: date = known[1]
    return day


def _could_be_told(stage: str, yes: bool, grafted: date, seen: date, latitude_deg: float | None) -> bool:
    if stage != "in_leaf":
        return (seen - grafted).days >= EARLY_DAYS
    later_year = growing_year(seen - timedelta(days=LEAVES_HANG_DAYS), latitude_deg) > growing_year(grafted, latitude_deg)
    return later_year and (yes or in_leaf_season(seen, latitude_deg))
