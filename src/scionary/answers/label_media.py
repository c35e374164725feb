"""How long writing on a label lasts: data that a person edits, by what it is written with and where it hangs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from copy import deepcopy
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Count

from scionary.book import practice, queries
from scionary.book.commands import save_noun
from scionary.book.kinds import plain
from scionary.book.models import Nursery, Plant
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import Words, mark, say

LIGHTS = Words({"sun": mark("in the sun"), "shade": mark("in the shade")})
OWN = mark("my own practice")
LONGEST_NAME, LONGEST_SOURCE = 30, 200
LEAST_MONTHS, MOST_MONTHS = 0.25, 600.0
MOST_WEEKS = 52.0
_MOST_MEDIA = 60


@dataclass(frozen=True)
class Medium:
    """What labels are written with, and the months until its writing begins to fade; None in both: it does not."""

    name: str
    months_sun: float | None
    months_shade: float | None
    source: str

    @property
    def fades(self) -> bool:
        return self.months_sun is not None or self.months_shade is not None

    def months(self, light: str) -> float | None:
        """Its life where a label hangs; not known where, or no life in the shade written down: that in the sun."""
        if light == "shade" and self.months_shade is not None:
            return self.months_shade
        return self.months_sun

    @property
    def words(self) -> str:
        """3 months in the sun, 9 in the shade."""
        if not self.fades:
            return say("does not fade")
        shade = say(", {months_shade:g} in the shade", months_shade=self.months_shade) if self.months_shade is not None else ""
        return say("{months_words} in the sun{shade}", months_words=months_words(self.months_sun or 0.0), shade=shade)

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class LabelMedia:
    """All media of the book, and how many weeks before it fades a label is to be written again."""

    media: tuple[Medium, ...]
    weeks_before: float
    weeks_source: str
    changed: bool  # whether a person has edited the defaults

    @property
    def names(self) -> list[str]:
        return [medium.name for medium in self.media]

    def called(self, name: str) -> Medium | None:
        return next((medium for medium in self.media if medium.name.casefold() == name.strip().casefold()), None)

    def to_dict(self) -> dict[str, Any]:
        return {
            "media": [medium.to_dict() for medium in self.media],
            "weeks_before": self.weeks_before,
            "weeks_source": self.weeks_source,
            "changed": self.changed,
        }


def label_media(nursery: Nursery | None = None) -> LabelMedia:
    """The book's media; the defaults as long as nobody has changed them."""
    kept = (nursery or queries.nursery()).label_media
    rows = kept or [*practice.LABEL_MEDIA, practice.LABEL_WEEKS_BEFORE]
    before = next((row for row in rows if "weeks_before" in row), practice.LABEL_WEEKS_BEFORE)
    media = tuple(Medium(row["medium"], row.get("months_sun"), row.get("months_shade"), row["source"]) for row in rows if "medium" in row)
    return LabelMedia(media, float(before["weeks_before"]), str(before["source"]), bool(kept))


def unknown_words(name: str, known: LabelMedia) -> str:
    """A sentence about a medium of which the book does not know how long it lasts; empty for one that it knows."""
    if not name.strip() or known.called(name) is not None:
        return ""
    return say("How long {name} lasts is not known to the book, so nothing will remind you. Add it under Book, Life of labels.", name=name)


def unknown_in_use(known: LabelMedia) -> list[tuple[str, int]]:
    """Media on labels of standing plants that the book knows nothing of, each with the number of labels."""
    used = Plant.objects.filter(state__in=queries.STANDING).exclude(label_medium="").order_by("label_medium")
    counted = used.values_list("label_medium").annotate(Count("id"))
    return [(name, count) for name, count in counted if known.called(name) is None]


def save_medium(was: str, values: Mapping[str, Any], *, now: datetime, who: str = "") -> Nursery:
    """Change the medium that was called so; with an empty name before, add one."""
    row = _checked(values)

    def change(rows: list[dict[str, Any]]) -> None:
        place = _place(rows, was) if was else None
        others = [each["medium"].casefold() for at, each in enumerate(rows) if "medium" in each and at != place]
        if row["medium"].casefold() in others:
            raise Refused(
                say("{medium} stands there already.", medium=row["medium"]),
                where="medium",
                remedy=say("Change that one, or give another name."),
            )
        if place is None:
            if len(others) >= _MOST_MEDIA:
                raise Refused(
                    say("{others} media are kept already.", others=len(others)), where="medium", remedy=say("Take one out first.")
                )
            rows.append(row)
        else:
            rows[place] = row | {"source": _source(rows[place], row)}

    return _changed(change, now=now, who=who)


def drop_medium(name: str, *, now: datetime, who: str = "") -> Nursery:
    """Take a medium out; labels written with it keep its name, and nothing reminds of them any more."""

    def change(rows: list[dict[str, Any]]) -> None:
        del rows[_place(rows, name)]

    return _changed(change, now=now, who=who)


def save_weeks_before(weeks: float, *, now: datetime, who: str = "") -> Nursery:
    """How many weeks before its writing begins to fade a label is due."""
    if not 0.0 <= weeks <= MOST_WEEKS:
        raise Refused(
            say("{weeks:g} weeks before.", weeks=weeks), where="weeks", remedy=say("Give 0 to {most_weeks:g}.", most_weeks=MOST_WEEKS)
        )

    def change(rows: list[dict[str, Any]]) -> None:
        rows[:] = [row for row in rows if "weeks_before" not in row]
        rows.append({"weeks_before": float(weeks), "source": OWN})

    return _changed(change, now=now, who=who)


def take_defaults(*, now: datetime, who: str = "") -> Nursery:
    """Back to the media that a new book begins with."""
    return save_noun(Nursery, {"label_media": []}, now=now, pk=queries.nursery().pk, who=who)


@patiently
def _changed(change: Callable[[list[dict[str, Any]]], None], *, now: datetime, who: str) -> Nursery:
    with transaction.atomic():
        nursery = Nursery.objects.select_for_update().get(pk=queries.nursery().pk)
        rows = deepcopy(nursery.label_media) or deepcopy([*practice.LABEL_MEDIA, practice.LABEL_WEEKS_BEFORE])
        change(rows)
        return save_noun(Nursery, {"label_media": rows}, now=now, pk=nursery.pk, who=who)


def _place(rows: Iterable[Mapping[str, Any]], name: str) -> int:
    wanted = name.strip().casefold()
    found = next((at for at, row in enumerate(rows) if row.get("medium", "").casefold() == wanted), None)
    if found is None:
        raise UnknownSubject(
            say("no medium is called {name!r}.", name=name[:LONGEST_NAME]), where="medium", remedy=say("Choose one that is listed.")
        )
    return found


def _source(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """Where a number comes from; one that a person changed no longer comes from where the default did."""
    changed = any(before.get(name) != after[name] for name in ("months_sun", "months_shade"))
    return OWN if changed and after["source"] == before["source"] == practice.COMMON else str(after["source"])


def _checked(values: Mapping[str, Any]) -> dict[str, Any]:
    name, source = " ".join(plain(str(values["medium"])).split()), plain(str(values.get("source") or OWN))
    if not 1 <= len(name) <= LONGEST_NAME:
        raise Refused(
            say("a medium needs a name."),
            where="medium",
            remedy=say("Give one of 1 to {longest_name} characters: wax pencil.", longest_name=LONGEST_NAME),
        )
    sun, shade = _months(values.get("months_sun"), "sun"), _months(values.get("months_shade"), "shade")
    if sun is None and shade is not None:
        raise Refused(say("the months in the sun are not said."), where="months_sun", remedy=say("Give them too, or leave both empty."))
    if sun is not None and shade is not None and shade < sun:
        remedy = say("Give at least as many as in the sun, or leave it empty.")
        raise Refused(
            say("{shade:g} months in the shade are fewer than {sun:g} in the sun.", shade=shade, sun=sun),
            where="months_shade",
            remedy=remedy,
        )
    return {"medium": name, "months_sun": sun, "months_shade": shade, "source": source[:LONGEST_SOURCE]}


def _months(value: float | None, light: str) -> float | None:
    if value is None:
        return None
    if not LEAST_MONTHS <= value <= MOST_MONTHS:
        remedy = say(
            "Give {least_months:g} to {most_months:g}, or leave it empty where it does not fade.",
            least_months=LEAST_MONTHS,
            most_months=MOST_MONTHS,
        )
        raise Refused(say("{value:g} months {light}.", value=value, light=LIGHTS[light]), where=f"months_{light}", remedy=remedy)
    return float(value)


def months_words(months: float) -> str:
    return say("{months:g} month", months=months) if months == 1 else say("{months:g} months", months=months)
