"""The nouns that a person edits: their words, their form, what a list shows of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from scionary.answers.bench import all_stocks_left
from scionary.answers.words import plural
from scionary.book.models import Cultivar, Method, MotherTree, Noun, PotKind, RootstockLot
from scionary.book.texts import later
from scionary.errors import UnknownSubject
from scionary.language import say
from scionary.web.records.forms import CultivarForm, LotForm, MethodForm, NounForm, PotForm, TreeForm


@dataclass(frozen=True)
class NounPage:
    """How one kind of noun is shown."""

    title: str
    one: str
    sentence: str
    model: type[Noun]
    form: type[NounForm]
    about: Callable[[Any], str]
    beside: tuple[str, ...] = ()  # what each row shows of another

    def called(self, ident: UUID) -> Noun:
        found = self.model._default_manager.filter(pk=ident).first()
        if found is None:
            raise UnknownSubject(
                say("the book holds no such {one}.", one=self.one), where=self.one, remedy=say("Choose one that is listed.")
            )
        return found


def _cultivar(cultivar: Cultivar) -> str:
    sold = say("sold as {trade_designation}", trade_designation=cultivar.trade_designation) if cultivar.trade_designation else ""
    return " · ".join(part for part in (cultivar.botanical, sold, say("protected") if cultivar.protected else "") if part)


def _tree(tree: MotherTree) -> str:
    sticks = (
        say("sticks not counted")
        if tree.sticks_a_season is None
        else say("{sticks} a season", sticks=plural(tree.sticks_a_season, "stick"))
    )
    return f"{tree.cultivar} · {sticks}"


def _lot(lot: RootstockLot) -> str:
    left = all_stocks_left([lot])[lot.pk]
    counted = say("not counted") if left is None else say("{left} of {count} left", left=left, count=lot.count)
    return " · ".join(part for part in (lot.species, counted) if part)


def _method(method: Method) -> str:
    return say(
        "closed {closed} days, then {hardening} to harden off · {steps}",
        closed=method.closed_days,
        hardening=method.hardening_days,
        steps=plural(len(method.after_care), "step"),
    )


NOUN_PAGES: dict[str, NounPage] = {
    "cultivars": NounPage(
        later("Cultivars"), later("cultivar"), later("The named kinds that you graft."), Cultivar, CultivarForm, _cultivar
    ),
    "trees": NounPage(
        later("Mother trees"),
        later("mother tree"),
        later("Where scions are cut, and how many sticks each can give."),
        MotherTree,
        TreeForm,
        _tree,
        ("cultivar",),
    ),
    "lots": NounPage(
        later("Stock lots"),
        later("stock lot"),
        later("Rootstocks that came or were sown together, and how many are left."),
        RootstockLot,
        LotForm,
        _lot,
    ),
    "pots": NounPage(
        later("Pots"),
        later("pot"),
        later("The pots you use; their size says how many stand in a dome."),
        PotKind,
        PotForm,
        lambda row: row.get_shape_display(),
    ),
    "methods": NounPage(
        later("Methods"),
        later("method"),
        later("How you join, and the dated care that follows; all of it is yours to change."),
        Method,
        MethodForm,
        _method,
    ),
}
