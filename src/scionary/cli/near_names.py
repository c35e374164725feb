"""Names that are nearly others of the book or of the same file: asked about before anything is written."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from scionary.cli.terminal import say_aside
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.imports import ImportPreview, WishPreview
    from scionary.answers.wishes_on_file import WishesOnFile


def cultivar_meant(name: str, *, new: bool) -> str:
    """The cultivar of this name as the book spells it, or a new name; one that is nearly in the book is refused unless it is `new`."""
    from scionary.answers.called import called

    found = called(name)
    if found.near and not new:
        remedy = f"Did you mean {' or '.join(found.near)}? If it is a new cultivar, add --new."
        raise Refused(f"the book holds no {found.typed}.", where="cultivar", remedy=remedy)
    if found.words:
        say_aside(f"Look: {found.words}.")
    return found.kept


def names_that_are_the_same(texts: Sequence[str]) -> dict[str, str]:
    """What the person says of names in a file: 'Ash Gil=Ash Gill'."""
    found: dict[str, str] = {}
    for text in texts:
        written, sign, meant = (part.strip() for part in text.partition("="))
        if not sign or not written or not meant:
            raise Refused(f"{text!r} says of no name what it is.", where="--same", remedy="Write WRITTEN=MEANT: 'Ash Gil=Ash Gill'.")
        found[written] = meant
    return found


def near_names(seen: ImportPreview | WishPreview | WishesOnFile, meant: Mapping[str, str]) -> dict[str, Sequence[str]]:
    """The names of a file that are new to the book and nearly others of the book or the file, without those that the person settled."""
    settled = {name.casefold() for name, same in meant.items() if name.casefold() == same.casefold()}
    entries = [*seen.cultivars, *getattr(seen, "methods", ()), *getattr(seen, "lots", ())]
    return {entry.name: entry.perhaps for entry in entries if entry.perhaps and entry.name.casefold() not in settled}


def refuse_near_names(near: Mapping[str, Sequence[str]], file: str, *, new: str = "--new-names") -> None:
    """Refuse a file as long as it holds names that are nearly others."""
    if near:
        first, *others = near
        more = f" {len(others)} more: {', '.join(others[:6])}." if others else ""
        said = f"{first} is new to the book and nearly {' or '.join(near[first])}.{more}"
        raise Refused(said, where=file, remedy=f"Say {same_as(first, near[first])}, or {new} if these are new names.")


def same_as(name: str, near: Iterable[str]) -> str:
    return f"--same {shlex.quote(f'{name}={next(iter(near))}')}"
