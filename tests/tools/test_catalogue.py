"""Gathering texts for translators, and looking over a translation."""

from __future__ import annotations

from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po
from catalogue import gathered, tell_of, wrong_braces


def test_texts_are_gathered_of_python_pages_and_scripts_and_of_where_something_is_refused(tmp_path: Path) -> None:
    (tmp_path / "one.py").write_text(
        'raise Refused(say("no {name}.", name=plural(n, "graft")), where="dome", remedy=several(n, "one", "many"))'
    )
    (tmp_path / "two.html").write_text(
        '{% translate "Look" %}{% blocktranslate count n=n %}{{ n }} plant{% plural %}{{ n }} plants{% endblocktranslate %}'
    )
    (tmp_path / "three.js").write_text('say("Firm"); several(n, "one tap", "many taps")')
    found = {message.id for message in gathered(tmp_path) if message.id}
    of_python = {"no {name}.", ("graft", "grafts"), ("one", "many"), "dome"}
    assert found == of_python | {"Look", ("%(n)s plant", "%(n)s plants"), "Firm", ("one tap", "many taps")}


def test_what_the_terminal_prints_is_not_gathered(tmp_path: Path) -> None:
    (tmp_path / "cli").mkdir()
    (tmp_path / "cli" / "one.py").write_text('say("Coming up:")')
    assert not [message.id for message in gathered(tmp_path) if message.id]


def test_a_translation_with_other_braces_is_named() -> None:
    catalogue = Catalog(locale="de")
    catalogue.add("{dome} holds {pots}", "{dome} fasst {pots}")
    catalogue.add("place {place}", "Platz {platz}")
    catalogue.add("day {day}", "Tag")
    catalogue.add(("{count} graft", "{count} grafts"), ("eine Veredlung", "{count} Veredlungen"))
    catalogue.add("not yet {done}", "")
    assert wrong_braces(catalogue) == ["place {place}", "day {day}"]


def test_how_far_a_translation_is_and_what_is_wrong_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    catalogue = Catalog(locale="de")
    catalogue.add("Nothing is due.", "Nichts ist fällig.")
    catalogue.add("{names} and {last}", "{names} und {letzter}")
    with (tmp_path / "django.po").open("wb") as file:
        write_po(file, catalogue)
    assert tell_of(tmp_path / "django.po") == 1
    assert "other braces: {names} and {last}" in capsys.readouterr().out
