"""A language that nobody speaks: each text of the program between brackets, and each word of the book in other letters.

On a page in it, a Latin word outside brackets is a text that did not pass through the catalogue.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import django
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from catalogue import gathered
from django.db.models import CharField, JSONField, Model, TextField

CODE = "xx"
OPEN, CLOSE = "\N{MATHEMATICAL LEFT WHITE SQUARE BRACKET}", "\N{MATHEMATICAL RIGHT WHITE SQUARE BRACKET}"
_LATIN, _OTHER = "abcdefghijklmnopqrstuvwxyz", "αβχδεφγηιξκλμνοπθρστυωψζυς"
_LETTERS = str.maketrans(_LATIN + _LATIN.upper(), _OTHER + _OTHER.upper().replace("Σ", "Λ"))
_SPOKEN_ATTRIBUTES = ("title", "aria-label", "placeholder", "alt", "content")
_GROWS = re.compile(r"(?<![\w{%(])[A-Za-z]{3,}(?![\w}])|(?<=(?<!%)\()[A-Za-z]{3,}(?![\w}])")
_WORD = re.compile(r"(?<![\w&#-])[A-Za-z]{2,}(?![\w-])")


def write_pseudo_language(folder: Path, form: Callable[[str], str] = str) -> None:
    """Compile it where Django looks for catalogues; `form` changes each text further, such as `longer`."""
    catalogue = Catalog(locale="en_GB", fuzzy=False)
    for message in [*gathered(), *_of_django()]:
        if message.id:
            one, *many = [message.id] if isinstance(message.id, str) else message.id
            texts = [f"{OPEN}{form(text)}{CLOSE}" for text in (one, *many)]
            catalogue.add(message.id, texts if many else texts[0])
    place = folder / CODE / "LC_MESSAGES"
    place.mkdir(parents=True)
    with (place / "django.mo").open("wb") as out:
        write_mo(out, catalogue)


def _of_django() -> Iterator[Any]:
    """What forms and accounts say by themselves: Django brings it along in each of its languages."""
    for part in ("conf", "contrib/auth"):
        with (Path(django.__file__).parent / part / "locale/en/LC_MESSAGES/django.po").open("rb") as file:
            yield from (message for message in read_po(file) if not message.context)


def longer(text: str) -> str:
    """About a third longer, as a text becomes in many a language: every word grows, what stands in braces does not."""
    return _GROWS.sub(lambda word: word[0] + "ω" * max(1, round(len(word[0]) * 0.3)), text)


def other_letters(value: Any, only: Collection[str] = ()) -> Any:
    """The same in other letters: what the person wrote is no text of the program. Of objects those fields that are named in `only`."""
    if isinstance(value, str):
        return value.translate(_LETTERS)
    if isinstance(value, list):
        return [other_letters(each, only) for each in value]
    if isinstance(value, dict):
        return {name: other_letters(each, only) if name in only or isinstance(each, list) else each for name, each in value.items()}
    return value


def rewrite(model: type[Model], *names: str, only: Collection[str] = (), **where: Any) -> None:
    """These columns of all rows `where` something holds in other letters, of JSON objects the fields in `only`."""
    for name in names:
        assert isinstance(model._meta.get_field(name), CharField | TextField | JSONField)
    for row in model._default_manager.filter(**where):
        for name in names:
            setattr(row, name, other_letters(getattr(row, name), only))
        model._default_manager.filter(pk=row.pk).update(**{name: getattr(row, name) for name in names})


class _Spoken(HTMLParser):
    """Gathers what is read or heard of a page, each element's text and each attribute by itself."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.parts: list[str] = []
        self.texts: list[str] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._silent += tag in ("script", "style")
        held = dict(attrs)
        if tag == "meta" and held.get("name") != "description":
            return
        self.parts += [held[name] or "" for name in _SPOKEN_ATTRIBUTES if name in held]

    def handle_endtag(self, tag: str) -> None:
        self._silent -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.texts.append(data)


def outside(text: str) -> str:
    """What stands outside all brackets."""
    depth, out = 0, []
    for letter in text:
        depth += (letter == OPEN) - (letter == CLOSE)
        out.append(letter if depth == 0 and letter != CLOSE else "\n")
    return "".join(out)


def untranslated(page: str, known: frozenset[str]) -> Iterator[str]:
    """The Latin words of a page that stand outside brackets, each with what is around it."""
    spoken = _Spoken()
    spoken.feed(page)
    for part in ["\n".join(spoken.texts), *spoken.parts]:
        for line in outside(part).splitlines():
            words = [word for word in _WORD.findall(line) if word not in known]
            if words:
                yield f"{' '.join(words)}: {line.strip()[:160]}"
