"""What a season is planned from, read from the book into plain values: wishes, methods, domes, lots, trees, and what is made already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from scionary.answers.bench import all_stocks_left
from scionary.answers.growing_year import autumn_equinox, spring_equinox, year_at
from scionary.answers.plan_figures import figures
from scionary.answers.rare import FEW
from scionary.book import queries
from scionary.book.models import Dome, Graft, Method, MotherTree, Nursery, Plant, PotKind, RootstockLot, StockOffer, Wish
from scionary.errors import Refused
from scionary.language import say

HEALING_DAYS = 45  # where no method was written down: 31 days closed and 14 of hardening; common practice, no source


@dataclass(frozen=True)
class WishFact:
    """One wish; `methods` and `pot` are ids, empty and None where it names none."""

    ident: str
    cultivar: UUID
    name: str
    spoken: str
    genus: str
    wanted: int
    assurance: float
    worth: float | None
    by_when: date | None
    survival: float | None
    method: UUID | None = None
    pot: UUID | None = None
    botanical: str = ""

    @property
    def rare(self) -> bool:
        return self.wanted <= FEW


@dataclass(frozen=True)
class StandsIn:
    """Grafts that stand in a dome: since when, until when it is wanted for them, and how many."""

    since: date
    until: date
    grafts: int
    mixed_ages: bool
    names: tuple[str, ...]


@dataclass(frozen=True)
class MadeGraft:
    """A graft of this growing year: `alive` None where its take is not known, False where it was lost."""

    cultivar: UUID
    week: date
    tree: UUID | None
    method: UUID | None
    lot: UUID | None
    alive: bool | None
    replaced: bool


@dataclass(frozen=True)
class SeasonFacts:
    """All of it; lists keep the book's order."""

    season: int
    today: date
    begins: date
    ends: date
    nursery: Nursery
    figures: dict[str, float | None]
    wishes: Sequence[WishFact]
    methods: Sequence[Method]
    pots: Sequence[PotKind]
    domes: Sequence[Dome]
    standing: dict[UUID, StandsIn]
    lots: Sequence[RootstockLot]
    left: dict[UUID, int | None]
    trees: Sequence[MotherTree]
    offers: Sequence[StockOffer]
    made: Sequence[MadeGraft]

    @property
    def first_monday(self) -> date:
        """The first week that can still be planned."""
        day = max(self.today, self.begins)
        return day - timedelta(days=day.weekday())


def season_facts(season: int, *, today: date, wishes: Sequence[WishFact] | None = None) -> SeasonFacts:
    """Read them; other wishes than the book's may be given."""
    nursery = queries.nursery()
    begins, ends = autumn_equinox(season - 1, nursery.latitude_deg), autumn_equinox(season, nursery.latitude_deg)
    if today >= ends:
        raise Refused(
            say("the growing year {season} ended on {day}: no week of it can be planned any more.", season=season, day=ends.isoformat()),
            where="plan", remedy=say("Plan a coming one: --season {season}.", season=year_at(today, nursery)),
        )  # fmt: skip
    lots = list(RootstockLot.objects.filter(retired=False).select_related("pot_kind").order_by("arrived_on", "name"))
    made = list(_made(season, nursery))
    wanted = list(wishes) if wishes is not None else book_wishes(season)
    cultivars = {wish.cultivar for wish in wanted}
    return SeasonFacts(
        season=season,
        today=today,
        begins=begins,
        ends=ends,
        nursery=nursery,
        figures=figures(nursery),
        wishes=wanted,
        methods=list(Method.objects.filter(retired=False).order_by("name")),
        pots=list(PotKind.objects.filter(retired=False).order_by("across_mm", "name")),
        domes=list(Dome.objects.filter(retired=False).order_by("name")),
        standing=_standing(nursery),
        lots=lots,
        left=all_stocks_left(lots),
        trees=list(MotherTree.objects.filter(retired=False, cultivar__in=cultivars).order_by("name")),
        offers=list(StockOffer.objects.filter(retired=False)),
        made=made,
    )


def book_wishes(season: int) -> list[WishFact]:
    """The wishes of a growing year as facts; a second wish of one cultivar is told apart by its number."""
    seen: dict[UUID, int] = {}
    found = []
    for wish in Wish.objects.filter(season=season, retired=False).select_related("cultivar"):
        cultivar = wish.cultivar
        seen[cultivar.pk] = seen.get(cultivar.pk, 0) + 1
        count = seen[cultivar.pk]
        name = cultivar.spoken if count == 1 else say("{cultivar}, wish {number}", cultivar=cultivar.spoken, number=count)
        worth = wish.worth if wish.worth is not None else cultivar.price
        found.append(
            WishFact(str(wish.pk), cultivar.pk, name, cultivar.spoken, genus_of(cultivar.botanical), wish.wanted, wish.assurance,
                     None if worth is None else float(worth), wish.by_when, cultivar.later_survival, wish.method_id,
                     wish.pot_kind_id, cultivar.botanical)
        )  # fmt: skip
    return found


def genus_of(botanical: str) -> str:
    """The first word of a botanical name; empty when it is not known."""
    words = botanical.replace("×", " ").replace(",", " ").split()
    return words[0].capitalize() if words else ""


def spring_of(facts: SeasonFacts) -> date:
    return spring_equinox(facts.season, facts.nursery.latitude_deg)


def _standing(nursery: Nursery) -> dict[UUID, StandsIn]:
    """What stands in each dome, and until when its youngest grafts heal."""
    rows: dict[UUID, list[tuple[date, int, str]]] = {}
    plants = (
        Plant.objects.filter(dome__isnull=False, state__in=queries.STANDING).select_related("cultivar").prefetch_related("grafts__method")
    )
    for plant in plants:
        grafts = list(plant.grafts.all())
        if grafts and plant.dome_id:
            last = grafts[-1]
            days = last.method.closed_days + last.method.hardening_days if last.method else HEALING_DAYS
            name = plant.cultivar.spoken if plant.cultivar else say("Unnamed")
            rows.setdefault(plant.dome_id, []).append((last.grafted_at.astimezone(nursery.zone).date(), days, name))
    return {dome: _stands(each) for dome, each in rows.items()}


def _stands(rows: list[tuple[date, int, str]]) -> StandsIn:
    first, last = min(row[0] for row in rows), max(row[0] for row in rows)
    until = max(day + timedelta(days=days) for day, days, _ in rows)
    return StandsIn(first, until, len(rows), (last - first).days > 7, tuple(sorted({row[2] for row in rows})))


def _made(season: int, nursery: Nursery) -> list[MadeGraft]:
    near = Graft.objects.filter(grafted_at__year__gte=season - 1, grafted_at__year__lte=season + 1).exclude(cultivar=None)
    found = []
    for graft in near.select_related("plant", "bag"):
        day = graft.grafted_at.astimezone(nursery.zone).date()
        if year_at(day, nursery) != season or graft.cultivar_id is None:
            continue
        lost = graft.lost_at is not None or graft.replaced or graft.plant.state == Plant.State.DEAD
        alive = False if lost else True if graft.in_leaf == Graft.Answer.YES else None
        tree = graft.tree_id or (graft.bag.tree_id if graft.bag else None)
        monday = day - timedelta(days=day.weekday())
        found.append(MadeGraft(graft.cultivar_id, monday, tree, graft.method_id, graft.lot_id, alive, graft.replaced))
    return found
