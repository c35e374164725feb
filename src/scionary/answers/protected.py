"""Cultivars that a person wrote down as protected: what to say wherever propagating one is decided."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from scionary.answers.plan_answer import PlanLine
from scionary.book.models import Cultivar
from scionary.names import Protection, protection_words


def protected_words(cultivar: Cultivar | None, today: date) -> str:
    """How the protection of a cultivar stands on a day, and where to make sure; empty where none is written down."""
    if cultivar is None or not cultivar.protected:
        return ""
    register = {"register_word": cultivar.protection_register.strip()} if cultivar.protection_register.strip() else {}
    return protection_words(Protection(cultivar.spoken, cultivar.protected_until, **register), today)


def wished(lines: Iterable[PlanLine]) -> list[Cultivar]:
    """The cultivars of some wishes, by name."""
    return list(Cultivar.objects.filter(pk__in={line.cultivar for line in lines}))


def all_protected_words(cultivars: Iterable[Cultivar | None], today: date) -> list[str]:
    """The words for each of some cultivars, once."""
    return list(dict.fromkeys(words for cultivar in cultivars if (words := protected_words(cultivar, today))))
