"""The bench: what was set for the day, the next plant's name, what is left of the plan, advice on thickness."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from uuid import UUID

from django.db.models import Count, Max

from scionary.answers.domes import tray_layout, usual_pot
from scionary.answers.growing_year import in_leaf_season, year_at, year_days
from scionary.answers.held import held
from scionary.answers.set_apart import bench_words
from scionary.answers.words import plural
from scionary.book import queries
from scionary.book.models import AcceptedPlan, BenchDay, Dome, Graft, Nursery, Plant, RootstockLot
from scionary.errors import UnknownSubject
from scionary.language import mark, say
from scionary.names import code_of


@dataclass(frozen=True)
class BenchAnswer:
    """A bench day as it stands: setup, what was made, what comes next."""

    bench: BenchDay
    next_number: int | None
    made: list[Plant]
    planned: int | None
    made_this_season: int
    flags: list[str]

    @property
    def next_spoken(self) -> str:
        return f"{self.bench.cultivar} {self.next_number}" if self.bench.cultivar else say("choose a cultivar")

    @property
    def counter(self) -> str:
        """9 of 14 when the plan says 14, else how many were made that day."""
        if self.planned:
            return say("{made} of {planned}", made=self.made_this_season, planned=self.planned)
        return say("{made} made", made=len(self.made))

    def to_dict(self) -> dict[str, object]:
        return {
            "day": self.bench.day.isoformat(),
            "cultivar": str(self.bench.cultivar) if self.bench.cultivar else None,
            "next": self.next_spoken,
            "made": [{"name": p.spoken, "code": code_of(p.code_number) if p.code_number is not None else None} for p in self.made],
            "planned": self.planned,
            "made_this_season": self.made_this_season,
            "flags": self.flags,
        }


def bench_called(ident: UUID) -> BenchDay:
    related = ("cultivar", "method", "lot", "tree", "bag", "dome", "pot_kind")
    found = BenchDay.objects.select_related(*related).filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such bench day."), where="bench", remedy=say("Choose one that is listed under Bench."))
    return found


def bench_answer(bench: BenchDay) -> BenchAnswer:
    """How a bench day stands."""
    nursery = queries.nursery()
    made = list(queries.plants().filter(grafts__bench=bench).order_by("-grafts__grafted_at", "-id").distinct())
    planned, so_far, number = None, 0, None
    if bench.cultivar_id:
        year = year_at(bench.day, nursery)
        planned = planned_grafts(year).get(str(bench.cultivar_id))
        so_far = made_in(year, nursery).get(bench.cultivar_id, 0)
        number = (Plant.objects.filter(cultivar_id=bench.cultivar_id).aggregate(n=Max("running_number"))["n"] or 0) + 1
    return BenchAnswer(bench, number, made, planned, so_far, _flags(bench))


def planned_grafts(year: int) -> dict[str, int]:
    """Grafts of each cultivar (by id) in the plan last accepted for a growing year; empty without one."""
    plan = AcceptedPlan.objects.filter(season=year, retired=False).order_by("-accepted_at").first()
    return {str(line["cultivar"]): int(line["grafts"]) for line in plan.lines} if plan else {}


def made_in(year: int, nursery: Nursery) -> dict[UUID, int]:
    """Grafts already made of each cultivar in a growing year."""
    begin, end = (datetime.combine(day, time(), nursery.zone) for day in year_days(year, nursery.latitude_deg))
    made = Graft.objects.filter(grafted_at__gte=begin, grafted_at__lt=end).exclude(cultivar=None)
    return {cultivar: count for cultivar, count in made.order_by().values_list("cultivar_id").annotate(count=Count("id")) if cultivar}


def stocks_left(lot: RootstockLot) -> int | None:
    """Stocks of a lot that are not used yet; None where they were never counted. Below zero means: more grafts than stocks."""
    if lot.count is None:
        return None
    return lot.count - Graft.objects.filter(lot=lot).values("plant_id").distinct().count()


def all_stocks_left(lots: Iterable[RootstockLot]) -> dict[UUID, int | None]:
    """The same of many lots at once."""
    used = held("stocks_used", queries.stamp(), _stocks_used)
    return {lot.pk: None if lot.count is None else lot.count - used.get(lot.pk, 0) for lot in lots}


def _stocks_used() -> dict[UUID, int]:
    rows = Graft.objects.exclude(lot=None).order_by().values_list("lot_id").annotate(plants=Count("plant_id", distinct=True))
    return {lot: plants for lot, plants in rows if lot}


def last_setup(today: date) -> BenchDay | None:
    """The latest bench day, to begin from."""
    return BenchDay.objects.filter(day__lte=today).order_by("-day", "-id").first()


def _flags(bench: BenchDay) -> list[str]:
    flags = bench_words(bench, queries.nursery())
    leafy = in_leaf_season(bench.day, queries.nursery().latitude_deg)
    if bench.method and bench.method.leafy != leafy:
        now = mark("{method} while trees are in leaf: is that the method? Its dates follow it.")
        bare = mark("{method} while trees are bare: is that the method? Its dates follow it.")
        flags.append(say(now if leafy else bare, method=bench.method))
    if bench.lot:
        left = stocks_left(bench.lot)
        if left is not None and left <= 0:
            beyond = say(" {grafts} beyond its count.", grafts=plural(-left, "graft")) if left < 0 else ""
            flags.append(
                say(
                    "Stock lot {lot} is used up by the book's count.{beyond} Count again, or choose another lot.",
                    lot=bench.lot,
                    beyond=beyond,
                )
            )
    full = how_full(bench)
    if full and full[1] >= full[0]:
        flags.append(f"{full_words(bench.dome, full)}.")
    return flags


def full_words(dome: Dome | None, full: tuple[int, int]) -> str:
    """What a dome holds and how many stand there; that its size is no measured one, where it is that of the usual tray."""
    measured = mark("{dome} holds {pots} pots of this size and {there} stand there")
    usual = mark("{dome}, with the size of the usual tray until you measure it, holds {pots} pots of this size and {there} stand there")
    return say(usual if dome and dome.is_usual else measured, dome=dome, pots=full[0], there=full[1])


def how_full(bench: BenchDay) -> tuple[int, int] | None:
    """How many pots a bench day's dome holds, and how many stand there; None where that is not known."""
    pot = bench.pot_kind or usual_pot(bench.dome, []) if bench.dome else None
    if bench.dome is None or pot is None:
        return None
    holds = len(tray_layout(bench.dome.length_mm, bench.dome.width_mm, pot.shape, pot.across_mm).positions)
    return holds, Plant.objects.filter(dome=bench.dome).count()
