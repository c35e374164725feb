"""What a schedule needs: rootstocks to order, sticks to cut by tree and week, what is used up, and stocks raised from seed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import ceil
from typing import Any

from scionary.answers.cut_list import CutLine, cut_list
from scionary.answers.growing_year import autumn_equinox, spring_equinox
from scionary.answers.plan_figures import assumed_figure, figures
from scionary.answers.schedule import Assumed, Schedule, ScheduleRow
from scionary.answers.schedule_plain import to_plain
from scionary.answers.season_facts import genus_of
from scionary.answers.stock_offers import offers
from scionary.answers.words import plural, short_day
from scionary.book import queries
from scionary.book.models import Cultivar, Dome, Method, Nursery, RootstockLot
from scionary.language import say
from scionary.plan import (
    GrowingSeason,
    MethodUse,
    Offer,
    OrderList,
    Pack,
    PlannedGrafts,
    RaisingDate,
    ShoppingList,
    StockNeed,
    order_list,
    raise_from_seed,
    shopping_list,
)

_LEAFING_DAYS = 30  # after the equinoxes trees begin and end to grow; project default, unsourced
_MOST_YEARS = 5


@dataclass(frozen=True)
class Raised:
    """Stocks of one kind raised from seed: how many, for the grafts of which week, and when to do what.

    `years` is how many years later than planned they could be grafted, since it is too late to sow for this one.
    """

    kind: str
    number: int
    wanted_by: date
    years: int
    steps: tuple[RaisingDate, ...]

    @property
    def words(self) -> str:
        """40 Acer stocks for the week of 2 August 2027: 101 seeds go into the cold by 9 June 2025."""
        first = self.steps[0]
        told = say("{number} {kind} for the {week}: {seeds} go into the cold in the {begins}.", number=self.number, kind=_stocks(self.kind),
                   week=_week_of(self.wanted_by), seeds=plural(first.number, "seed"), begins=_week_of(first.begins))  # fmt: skip
        late = say("It is too late to sow for this year's grafts: these are for {years} later.", years=plural(self.years, "year"))
        return f"{told} {late}" if self.years else told


@dataclass(frozen=True)
class PlanLists:
    """All lists of one schedule."""

    season: int
    orders: OrderList
    shopping: ShoppingList
    cuts: tuple[CutLine, ...]
    water_l: float
    trays_by_week: dict[date, int]
    raised: tuple[Raised, ...]
    assumed: tuple[Assumed, ...]
    last_days: dict[str, date] = field(default_factory=dict)  # by kind: by when stocks that nobody offers have to be ordered
    today: date | None = None

    @property
    def order_words(self) -> list[str]:
        """Each order in a sentence, the most urgent first."""
        lines = [
            say("{packs} of {kind} from {supplier}, {cost} in all: order by {day}{late}.",
                packs=", ".join(f"{count} × {pack.size}" for pack, count in line.packs), kind=line.kind, supplier=line.supplier,
                cost=f"{line.cost:,.2f}", day=short_day(line.order_by), late=say(" (late)") if line.late else "")
            for line in self.orders.lines
        ]  # fmt: skip
        lines += [
            say("{number} {kind}: nobody who is written down offers them. Order by {day}{late}.", number=count, kind=_stocks(kind),
                day=short_day(self.last_days[kind]), late=say(" (late)") if self.today and self.last_days[kind] < self.today else "")
            for kind, count in self.orders.unmet
        ]  # fmt: skip
        return lines or [say("No rootstock has to be ordered.")]

    @property
    def stick_words(self) -> list[str]:
        """Sticks by week and tree, as they are to be cut."""
        return [cut.words for cut in self.cuts]

    @property
    def used_words(self) -> str:
        """12.5 m of film, 6 blades, 44 labels, 44 4-inch square, 9 litres of water."""
        used = self.shopping
        parts = [
            say("{metres} m of film", metres=f"{used.film_m:.1f}"), plural(used.blades, "blade"), plural(used.labels, "label"),
            *(f"{count} × {pot}" for pot, count in used.pots.items()), say("{litres} litres of water", litres=f"{self.water_l:.1f}"),
        ]  # fmt: skip
        return ", ".join(parts)

    def to_dict(self) -> dict[str, Any]:
        used = to_plain(self.shopping)
        used["sticks_by_week"] = [cut.to_dict() for cut in self.cuts]
        used["sticks"] = _by_tree(self.cuts)
        used["trays_by_week"] = {week.isoformat(): count for week, count in self.trays_by_week.items()}
        used["water_l"] = self.water_l
        return {
            "season": self.season, "orders": to_plain(self.orders), "shopping": used, "raised": to_plain(self.raised),
            "assumed": [each.words for each in self.assumed], "order_words": self.order_words,
        }  # fmt: skip


def plan_lists(schedule: Schedule, *, today: date) -> PlanLists:
    """The lists of one schedule."""
    nursery = queries.nursery()
    assumed = figures(nursery)
    shopping = _shopping(schedule, assumed)
    trays, water = _fillings(schedule, float(assumed["water_mm"] or 0.0))
    orders = _orders(schedule, today, float(assumed["settling_weeks"] or 0.0))
    names = ["settling_weeks", "lead_weeks", "dormant_cut", "film_mm", "grafts_a_blade", "labels_a_graft", "spare", "water_mm"]
    told = [*(Assumed(**assumed_figure(name, nursery)) for name in names), *(Assumed(words) for words in shopping.assumed)]
    told += [Assumed(words) for words in _potted_words(schedule)]
    if any(row.ordered for row in schedule.rows):
        told.append(Assumed(say("Every ordered stock is thick enough and alive (project default, unsourced): order some to spare.")))
    return PlanLists(
        schedule.season, orders, shopping, cut_list(schedule, nursery, today), water, trays, _raised(schedule, nursery, today), tuple(told),
        _last_days(schedule, assumed), today,
    )  # fmt: skip


def _shopping(schedule: Schedule, assumed: dict[str, float | None]) -> ShoppingList:
    sticks = {method.name: method.grafts_a_stick for method in Method.objects.all()}
    use = {name: float(assumed[name] or 0.0) for name in ("film_mm", "grafts_a_blade", "labels_a_graft", "spare")}
    uses = {
        row.method: MethodUse(use["film_mm"], sticks.get(row.method, 2.0), use["grafts_a_blade"], use["labels_a_graft"])
        for row in schedule.rows
    }
    stand = _stand_in()
    planned = [PlannedGrafts(row.week, row.grafts, row.method, "" if _potted(row, stand) else row.pot, row.tree) for row in schedule.rows]
    return shopping_list(planned, uses, spare=use["spare"] / 100)


def _stand_in() -> dict[str, str]:
    """The pot in which each lot stands, where that is written down."""
    lots = RootstockLot.objects.filter(retired=False).exclude(pot_kind=None)
    return dict(lots.values_list("name", "pot_kind__name"))


def _potted(row: ScheduleRow, stand: dict[str, str]) -> bool:
    """Whether the stocks of a row stand in that very pot already."""
    return not row.ordered and bool(row.lot) and (row.regraft or stand.get(row.lot) == row.pot)


def _potted_words(schedule: Schedule) -> list[str]:
    stand = _stand_in()
    there = sum(row.grafts for row in schedule.rows if _potted(row, stand))
    return [say("{stocks} stand in their pots already: no pot is counted for them.", stocks=plural(there, "stock"))] if there else []


def _last_days(schedule: Schedule, assumed: dict[str, float | None]) -> dict[str, date]:
    """For each kind of stocks to order: the last day, from the first graft back by settling and coming."""
    weeks = float(assumed["settling_weeks"] or 0.0) + float(assumed["lead_weeks"] or 0.0)
    return {kind: min(week for week, _ in grafts) - timedelta(days=ceil(7 * weeks)) for kind, grafts in _kinds(schedule).items()}


def _by_tree(cuts: Sequence[CutLine]) -> dict[str, int]:
    found: Counter[str] = Counter()
    for cut in cuts:
        found[cut.tree] += cut.sticks
    return dict(found)


def _stocks(kind: str) -> str:
    return say("{kind} stocks", kind=kind) if kind else say("stocks of any kind")


def _fillings(schedule: Schedule, water_mm: float) -> tuple[dict[date, int], float]:
    """Domes newly filled each week, and litres of water for their first filling."""
    sizes = {dome.name: dome.length_mm * dome.width_mm for dome in Dome.objects.all()}
    usual = Dome().length_mm * Dome().width_mm
    trays: Counter[date] = Counter()
    litres = 0.0
    for week in schedule.weeks:
        new = [each for each in week.domes if each.kind == "planned" and each.age_weeks == 0]
        trays[week.monday] += len(new)
        litres += sum(sizes.get(each.dome, usual) * water_mm / 1e6 for each in new)
    return {week: count for week, count in trays.items() if count}, litres


def _kinds(schedule: Schedule) -> dict[str, list[tuple[date, int]]]:
    """Grafts by week on stocks that are not at hand, by genus."""
    genus = {str(pk): genus_of(name) for pk, name in Cultivar.objects.values_list("pk", "botanical")}
    found: dict[str, list[tuple[date, int]]] = {}
    for row in schedule.rows:
        if (row.ordered or not row.lot) and not row.regraft:
            found.setdefault(genus.get(row.cultivar, ""), []).append((row.week, row.grafts))
    return found


def _orders(schedule: Schedule, today: date, settling_weeks: float) -> OrderList:
    kinds = _kinds(schedule)
    needs = [StockNeed(kind, tuple(grafts)) for kind, grafts in kinds.items()]
    there = [
        Offer(each.supplier, kind, tuple(Pack(pack["size"], pack.get("price", 0.0), pack.get("at_most")) for pack in each.packs),
              each.lead_weeks, each.delivery)
        for each in offers()
        for kind in kinds
        if each.kind.casefold().startswith(kind.casefold())
    ]  # fmt: skip
    return order_list(needs, there, today=today, settling_weeks=settling_weeks)


def _raised(schedule: Schedule, nursery: Nursery, today: date) -> tuple[Raised, ...]:
    """For each kind that is not at hand: back from its first week to the seeds; a year or more later where it is too late."""
    season = _growing(nursery, schedule.season)
    found = []
    for kind, grafts in _kinds(schedule).items():
        number, first = sum(count for _, count in grafts), min(week for week, _ in grafts)
        for years in range(_MOST_YEARS + 1):
            wanted_by = first + timedelta(days=364 * years)
            steps = raise_from_seed(number, wanted_by, season, today=today)
            if not steps[0].late or years == _MOST_YEARS:
                found.append(Raised(kind, number, wanted_by, years, steps))
                break
    return tuple(found)


def _growing(nursery: Nursery, season: int) -> GrowingSeason:
    later = timedelta(days=_LEAFING_DAYS)
    begins = spring_equinox(season, nursery.latitude_deg) + later
    ends = autumn_equinox(season, nursery.latitude_deg) + later
    return GrowingSeason(begins.timetuple().tm_yday, ends.timetuple().tm_yday)


def _week_of(monday: date) -> str:
    return say("week of {day}", day=short_day(monday))
