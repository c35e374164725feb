"""Which cultivar of the book has a name: its own, or another one that it goes by. Nothing is guessed here.

What was perhaps meant, and the words for it: `scionary.answers.called`.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from uuid import UUID

from scionary.book.kinds import plain
from scionary.book.models import Cultivar, OtherName

_QUOTED = re.compile(r"""(?:'(?!')|[‘‚`´‹]|["“„”«])(?P<name>(?:[^'‘’‚`´‹›"“„”«»]|(?<=\w)['’](?=\w))+)(?:['’‘´`›]|["”“»])""")
_APOSTROPHES = str.maketrans("’‘ʼ`´′", "''''''")


def tidied(name: str) -> str:
    """A name as it is kept: on one line, without marks that are not seen or quotes around it, letters and their accents put together."""
    found = _QUOTED.fullmatch(_on_one_line(name))
    return found["name"].strip() if found else _on_one_line(name)


def spelling(name: str) -> str:
    """What makes two names the same name: neither case, nor spaces, nor the kind of apostrophe, nor marks that are not seen."""
    return unicodedata.normalize("NFC", _on_one_line(name).translate(_APOSTROPHES).casefold())


def _on_one_line(name: str) -> str:
    return " ".join(unicodedata.normalize("NFC", plain(name)).split())


@dataclass(frozen=True)
class Known:
    """A cultivar that has a name: its id, the name it is kept under, the name as it stands in the book, and whether that is another one."""

    cultivar: UUID
    kept: str
    name: str
    by_other_name: bool = False


@dataclass(frozen=True)
class NamesOfBook:
    """All names of the book's cultivars at one moment."""

    own: dict[str, Known] = field(default_factory=dict)
    others: dict[str, Known] = field(default_factory=dict)
    gone: dict[str, Known] = field(default_factory=dict)  # of cultivars that are no longer grown

    def known(self, name: str) -> Known | None:
        """The cultivar of this name: one that is grown, else the one whose other name it is, else one that is grown no longer."""
        for key in dict.fromkeys((spelling(name), spelling(tidied(name)))):
            if found := self.own.get(key) or self.others.get(key) or self.gone.get(key):
                return found
        return None

    def kept(self, name: str) -> str:
        """The name under which this one is kept; the name itself where the book does not know it."""
        found = self.known(name)
        return found.kept if found else tidied(name)

    @property
    def in_use(self) -> dict[str, str]:
        """Every name that is in use as it stands in the book, with the one it is kept under."""
        return {known.name: known.kept for known in (*self.own.values(), *self.others.values())}


def names_of_book() -> NamesOfBook:
    """The names of all cultivars; where two are spelt alike but for case or marks, the first by the alphabet."""
    found = NamesOfBook()
    for ident, spoken, retired in Cultivar.objects.order_by("spoken").values_list("id", "spoken", "retired"):
        (found.gone if retired else found.own).setdefault(spelling(spoken), Known(ident, spoken, spoken))
    others = OtherName.objects.filter(retired=False).order_by("name").values_list("name", "cultivar_id", "cultivar__spoken")
    for name, ident, spoken in others:
        found.others.setdefault(spelling(name), Known(ident, spoken, name, by_other_name=True))
    return found


def known_as(name: str) -> Known | None:
    """The cultivar that has this name."""
    ident = Cultivar.objects.filter(spoken=name, retired=False).values_list("id", flat=True).first()
    return Known(ident, name, name) if ident else names_of_book().known(name)
