"""Whether the book holds grafts of the same cultivar and year already, so that nothing is counted twice by mistake."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from uuid import UUID

from scionary.answers.growing_year import year_at
from scionary.answers.past_meaning import Meaning
from scionary.answers.words import listed, plural
from scionary.book.locks import chunks
from scionary.book.models import Cultivar, Event, Graft, Nursery, RawFile, Tally
from scionary.language import mark, say

_MOST_TOLD = 6
_IMPORT = "import "  # how the device of an imported event begins; the start of the file's hash follows
_BY_HAND = mark("the book's own records")

Key = tuple[str, int]  # a cultivar's name, case folded, and a growing year


def held_already(taken: Iterable[Meaning], nursery: Nursery) -> list[str]:
    """A question for each cultivar and year of the file that the book holds grafts or counts of."""
    wanted = {key: meaning.cultivar for meaning in taken if (key := _key(meaning, nursery)) is not None}
    known = {row.pk: row.spoken for row in Cultivar.objects.all() if row.spoken.casefold() in {name for name, _ in wanted}}
    held: dict[Key, Counter[str]] = defaultdict(Counter)
    _add_grafts(held, known, nursery)
    _add_counts(held, known)
    told = []
    for key in sorted(set(held) & set(wanted), key=lambda each: (each[0], each[1])):
        sources = listed([name for name, _ in held[key].most_common()], most=3)
        grafts = plural(held[key].total(), "graft", "grafts")
        told.append(
            say(
                "The book already holds {grafts} of {cultivar} in {year} from {sources}: the same ones?",
                grafts=grafts,
                cultivar=wanted[key],
                year=key[1],
                sources=sources,
            )
        )
    rest = len(told) - _MOST_TOLD
    return (
        told
        if rest <= 0
        else [*told[:_MOST_TOLD], say("The same question for {more}.", more=plural(rest, "more cultivar and year", "more"))]
    )


def _key(meaning: Meaning, nursery: Nursery) -> Key | None:
    row = meaning.row
    year = year_at(row.date, nursery) if row.date else row.season
    return None if year is None else (meaning.cultivar.casefold(), year)


def _add_grafts(held: dict[Key, Counter[str]], known: dict[UUID, str], nursery: Nursery) -> None:
    rows = list(Graft.objects.filter(cultivar__in=list(known)).values_list("id", "cultivar_id", "grafted_at"))
    devices: dict[UUID, str] = {}
    for chunk in chunks(ident for ident, _, _ in rows):
        devices |= dict(Event.objects.filter(pk__in=chunk).values_list("id", "device"))
    by_hand = say(_BY_HAND)
    files = {sha256[:16]: name for sha256, name in RawFile.objects.values_list("sha256", "name")}
    for ident, cultivar, moment in rows:
        if cultivar is not None:
            device = devices.get(ident, "")
            source = files.get(device.removeprefix(_IMPORT)[:16], by_hand) if device.startswith(_IMPORT) else by_hand
            held[known[cultivar].casefold(), year_at(moment.astimezone(nursery.zone).date(), nursery)][source] += 1


def _add_counts(held: dict[Key, Counter[str]], known: dict[UUID, str]) -> None:
    """A row that was counted at several stages counts once."""
    rows: dict[tuple[UUID, int | None, str], int] = {}
    for count in Tally.objects.filter(cultivar__in=list(known), retired=False).exclude(season=None):
        rows[count.cultivar_id, count.season, count.source or str(count.pk)] = count.grafts
    for (cultivar, season, source), grafts in rows.items():
        name = source.split(", row ")[0] if ", row " in source else say(_BY_HAND)
        held[known[cultivar].casefold(), season or 0][name] += grafts
