"""When wood for planned grafts is cut: in leaf in its own week; dormant sticks while trees sleep, kept cold until they are grafted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from scionary.answers.cutting import limits_of
from scionary.answers.growing_year import spring_equinox
from scionary.answers.plan_figures import figures
from scionary.book.models import Nursery

Part = tuple[date, bool, float]  # week of grafting, whether in leaf, sticks in parts


@dataclass(frozen=True)
class CutTimes:
    """No week before `first` can be planned any more; dormant sticks are cut in the week of `latest` at the latest, and keep `days`."""

    first: date
    latest: date
    days: float

    @classmethod
    def of(cls, nursery: Nursery, season: int, first: date) -> CutTimes:
        spring = spring_equinox(season, nursery.latitude_deg)
        latest = spring - timedelta(days=round(float(figures(nursery)["dormant_cut"] or 0.0)))
        return cls(first, latest - timedelta(days=latest.weekday()), limits_of(nursery).stored_dormant_days)

    def dormant(self, weeks: Iterable[date]) -> dict[date, date]:
        """The week of cutting for each week of dormant grafting: one cut serves all weeks for which it keeps, or which have no later."""
        found: dict[date, date] = {}
        cut: date | None = None
        for week in sorted(set(weeks)):
            own = max(self.first, min(week, self.latest))
            if cut is None or (own > cut and (week - cut).days > self.days):
                cut = own
            found[week] = cut
        return found

    def whole(self, parts: Iterable[Part]) -> Mapping[date, int]:
        """Whole sticks of one tree by week of cutting: what is left of one cut in leaf is not kept until another week."""
        known = [part for part in parts if part[2] > 0]
        dormant = self.dormant(week for week, leafy, _ in known if not leafy)
        sums: dict[tuple[date, bool], float] = {}
        for week, leafy, sticks in known:
            key = (week if leafy else dormant[week], leafy)
            sums[key] = sums.get(key, 0.0) + sticks
        found: dict[date, int] = {}
        for (day, _), sticks in sums.items():
            found[day] = found.get(day, 0) + ceil(sticks - 1e-9)
        return found
