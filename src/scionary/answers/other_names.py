"""The other names of a cultivar: added, taken away, and what stands against one."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction

from scionary.book.called import names_of_book, spelling, tidied
from scionary.book.commands import save_noun
from scionary.book.locks import gate, lock
from scionary.book.models import Cultivar, OtherName
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import Words, mark, say

KINDS = Words(
    {
        OtherName.Kind.SYNONYM: mark("another name it is rightly called"),
        OtherName.Kind.MISSPELLING: mark("a misspelling, or a slip of the tongue"),
    }
)


def other_names(cultivar: Cultivar) -> list[OtherName]:
    """What else a cultivar is called, in alphabetical order."""
    return list(OtherName.objects.filter(cultivar=cultivar, retired=False))


def other_name_called(name: str) -> OtherName:
    """The other name that is spelt so."""
    key = spelling(name)
    found = next((other for other in OtherName.objects.filter(retired=False) if spelling(other.name) == key), None)
    if found is None:
        raise UnknownSubject(
            say("no cultivar is also called {name!r}.", name=name[:60]), where="name", remedy=say("See: scionary names show NAME.")
        )
    return found


@patiently
def add_other_name(cultivar: Cultivar, name: str, kind: str, *, now: datetime, who: str = "") -> OtherName:
    """Let a cultivar be called by one more name; a name that means another cultivar is refused."""
    typed = tidied(name)
    if kind not in KINDS:
        raise Refused(
            say("{kind!r} is no kind of name.", kind=kind[:20]), where="kind", remedy=say("Give one of: {kinds}.", kinds=", ".join(KINDS))
        )
    if not any(letter.isalnum() for letter in typed):
        raise Refused(say("no name is typed."), where="name", remedy=say("Type what it is also called."))
    with transaction.atomic():
        gate(alone=False)
        lock(["names:other"])
        _check_free(cultivar, typed)
        values = {"cultivar": cultivar, "kind": kind, "retired": False}
        there = OtherName.objects.filter(name=typed).first()
        if there is not None:
            return save_noun(OtherName, values, now=now, pk=there.pk, who=who)
        return save_noun(OtherName, {**values, "name": typed}, now=now, who=who)


def take_away(ident: UUID, *, now: datetime, who: str = "") -> OtherName:
    """A cultivar is no longer found by this name; that it was stays in the book."""
    found = OtherName.objects.filter(pk=ident, retired=False).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such other name."), where="name", remedy=say("Load the page again."))
    if found.kind == OtherName.Kind.JOINED:
        raise Refused(
            say("{found} was joined with {cultivar}.", found=found, cultivar=found.cultivar),
            where="name",
            remedy=say("Undo the joining instead."),
        )
    return save_noun(OtherName, {"retired": True}, now=now, pk=ident, who=who)


def check_not_anothers(name: str, cultivar: Cultivar | None = None) -> None:
    """Refuse a cultivar's own name that is another name of a different one: what is typed so would change its meaning."""
    other = names_of_book().others.get(spelling(name))
    if other is not None and (cultivar is None or other.cultivar != cultivar.pk):
        remedy = say("Take it away there first, or go on with {kept}.", kept=other.kept)
        raise Refused(say("{other} is another name of {kept}.", other=other.name, kept=other.kept), where="spoken", remedy=remedy)


def _check_free(cultivar: Cultivar, typed: str) -> None:
    names, key = names_of_book(), spelling(typed)
    if key == spelling(cultivar.spoken):
        raise Refused(say("{typed} is its own name.", typed=typed), where="name", remedy=say("It is found by that already."))
    if own := names.own.get(key):
        remedy = say("If the two are one, join them under Names that may be one.")
        raise Refused(say("{kept} is a cultivar of its own.", kept=own.kept), where="name", remedy=remedy)
    if other := names.others.get(key):
        raise Refused(
            say("{other} is another name of {kept} already.", other=other.name, kept=other.kept),
            where="name",
            remedy=say("Take it away there first."),
        )
