"""How a person wants a file read: columns, order of dates, stage, sheet, and what misspelt names are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from django import forms

from scionary.answers.imports import Choices, PastReading, WishReading
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.files import wishes
from scionary.files.past_roles import IGNORE, ROLES, STAGES
from scionary.language import Words, mark, say
from scionary.web.typing_in import SentFile

PAST, WISHES = "past", "wishes"
_ROLE_WORDS = Words(
    {
        "cultivar": mark("cultivar"),
        "date": mark("day of grafting"),
        "season": mark("year"),
        "method": mark("method"),
        "stock_lot": mark("stock lot"),
        "grafts": mark("how many were grafted"),
        "takes": mark("how many took"),
        "outcome": mark("what became of it"),
        "label": mark("label or number"),
        "place": mark("place"),
        "note": mark("note"),
        "number": mark("how many are wanted"),
        "by_when": mark("by when"),
        "worth": mark("worth"),
        "size": mark("pot or size"),
        "assurance": mark("how sure: nine years in ten"),
        IGNORE: mark("leave this column out"),
        "firm": mark("firm"),
        "growing": mark("growing"),
        "in_leaf": mark("in leaf the next spring"),
    }
)
_STAGED = ("takes", "outcome")
_KINDS = {"c": ("cultivars", mark("cultivar")), "m": ("methods", mark("method")), "l": ("lots", mark("stock lot"))}


class FileForm(forms.Form):
    """A file, and what it holds."""

    what = forms.ChoiceField(
        choices=[(PAST, later("past records of grafts")), (WISHES, later("a wish list"))],
        label=later("What does it hold?"),
        widget=forms.RadioSelect,
    )
    file = SentFile(
        label=later("Spreadsheet (CSV or XLSX)"),
        help_text=later("As you keep it: its own column names, blanks and question marks are fine."),
        error_messages={"required": later("Choose a file."), "empty": later("The file is empty.")},
    )


@dataclass(frozen=True)
class ColumnAsked:
    """One column of the file and what it may hold."""

    field: str
    header: str
    chosen: str
    choices: list[tuple[str, str]]


@dataclass(frozen=True)
class NameAsked:
    """A name of the file that is nearly one that the book knows, or that stands more often in the file; what it may be instead."""

    field: str  # its letter says what kind of name it is
    name: str
    rows: int
    chosen: str
    choices: list[str]

    @property
    def own(self) -> bool:
        """Whether the person said that it is one of its own."""
        return self.chosen == self.name

    @property
    def kind(self) -> str:
        return say(_KINDS[self.field[0]][1])

    @property
    def question(self) -> str:
        return (
            say("Is “{name}” another one?", name=self.name)
            if self.field[0] == "c"
            else say("Is the {kind} “{name}” another one?", kind=self.kind, name=self.name)
        )


def answers_of(post: Mapping[str, Any]) -> dict[str, Any]:
    """What a person has answered so far, from the form's fields."""
    headers = {key[7:]: str(post[key]) for key in post if key.startswith("header_")}
    mapping = {header: str(post.get(f"role_{place}", IGNORE)) for place, header in headers.items()}
    names: dict[str, dict[str, str]] = {kind: {} for kind, _ in _KINDS.values()}
    for place in (key[5:] for key in post if key.startswith("name_")):
        if means := str(post.get(f"means_{place}", "")):
            names[_KINDS.get(place[:1], _KINDS["c"])[0]][str(post[f"name_{place}"])] = means
    season = str(post.get("season", ""))
    if season and not (season.isascii() and season.isdigit() and 1900 <= int(season[:6]) <= 2999):
        raise Refused(say("{season!r} is no growing year.", season=season[:20]), where="season", remedy=say("Give a year such as 2027."))
    return {
        "what": WISHES if post.get("what") == WISHES else PAST,
        "mapping": mapping or None,
        "date_order": str(post.get("date_order", ""))[:3] or None,
        "stage": str(post.get("stage", ""))[:20] or None,
        "sheet": str(post.get("sheet", ""))[:200] or None,
        "names": names,
        "as_counts": post.get("as_counts") == "1",
        "season": int(season) if season else None,
    }


def past_reading(given: Mapping[str, Any]) -> PastReading:
    """The answers as past records are read with them."""
    choices = Choices(**given["names"])
    return PastReading(given["mapping"], given["date_order"], given["stage"], given["sheet"], choices, given["as_counts"])


def wish_reading(given: Mapping[str, Any]) -> WishReading:
    """The answers as a wish list is read with them."""
    return WishReading(given["mapping"], given["date_order"], given["sheet"], given["season"], given["names"]["cultivars"] or None)


def plain(how: PastReading) -> dict[str, Any]:
    """A reading as a job's arguments hold it."""
    return asdict(how)


def columns(preview: Any, *, wishes: bool) -> list[ColumnAsked]:
    """Each column with the role that it was given or guessed."""
    offered = _wish_choices() if wishes else _past_choices()
    asked = []
    for place, header in enumerate(preview.headers):
        chosen = str(preview.mapping.get(header, IGNORE))
        choices = offered if chosen in dict(offered) else [(chosen, _said(chosen)), *offered]
        asked.append(ColumnAsked(str(place), header, chosen, choices))
    return asked


def names_asked(preview: Any, given: Mapping[str, Any]) -> list[NameAsked]:
    """Names to ask about, those answered before among them."""
    return [asked for letter in _KINDS for asked in _asked_of(letter, preview, given)]


def _asked_of(letter: str, preview: Any, given: Mapping[str, Any]) -> list[NameAsked]:
    kind = _KINDS[letter][0]
    said = given["names"][kind]
    entries = [entry for entry in getattr(preview, kind, ()) if entry.perhaps]
    asked = [(entry.name, entry.rows, said.get(entry.name, ""), list(entry.perhaps)) for entry in entries]
    open_names = {entry.name for entry in entries}
    asked += [(name, 0, means, [means] if means != name else []) for name, means in said.items() if name not in open_names]
    return [NameAsked(f"{letter}{place}", *one) for place, one in enumerate(asked)]


def unanswered(preview: Any, given: Mapping[str, Any]) -> str:
    """What must be answered before the file can be taken in; empty when nothing is open."""
    asked = [question.words for question in preview.questions if question.needed]
    asked += [name.question for name in names_asked(preview, given) if not name.chosen]
    return " ".join(asked)


def _past_choices() -> list[tuple[str, str]]:
    plain_roles = [(kind, _said(kind)) for kind in ROLES]
    staged = [(f"{kind} {stage}", _said(f"{kind} {stage}")) for kind in _STAGED for stage in STAGES]
    return [(IGNORE, _said(IGNORE)), *plain_roles, *staged]


def _wish_choices() -> list[tuple[str, str]]:
    return [(IGNORE, _said(IGNORE)), *((kind, _said(kind)) for kind in wishes.ROLES)]


def _said(role: str) -> str:
    kind, *more = role.split()
    return ", ".join(_ROLE_WORDS.get(word, word) for word in (kind, *more))
