"""Finding what a person names in the terminal: domes, plants, methods, lots by the name they say."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from scionary.errors import Refused, UnknownSubject

if TYPE_CHECKING:
    from scionary.book.models import Dome, Noun, Plant

    N = TypeVar("N", bound=Noun)


def named(model: type[N], name: str | None) -> N | None:
    """The row of this name, whatever its case; None when no name was typed."""
    if name is None:
        return None
    found: N | None = _called(model, name)
    if found is None:
        known = [str(row) for row in model._default_manager.filter(retired=False)[:8]]
        listed = f"Known: {'; '.join(known)}." if known else "The book holds none yet."
        raise UnknownSubject(f"no {model.noun} is called {name!r}.", where=model.noun, remedy=listed)
    return found


def _called(model: type[N], name: str) -> Any:
    from scionary.answers.called import called
    from scionary.book.models import Cultivar

    rows: Any = model._default_manager
    return called(name).cultivar if issubclass(model, Cultivar) else rows.filter(name__iexact=name.strip()).first()


def dome_named(name: str) -> Dome:
    from scionary.book.models import Dome

    found = named(Dome, name)
    assert found is not None
    return found


def plant_named(text: str) -> Plant:
    """The one plant that a code or a spoken name means; what is only likely is offered and not taken."""
    from scionary.answers.find import find
    from scionary.book import queries
    from scionary.names import grouped

    answer = find(text)
    if answer.plant is None:
        offered = ", ".join(f"{p.spoken} ({grouped(p.code)})" for p in answer.plants[:6])
        raise Refused(answer.words, where=answer.text, remedy=f"Offered: {offered}." if offered else "")
    return queries.plant(answer.plant.id)
