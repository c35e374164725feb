"""What scripts say goes through the catalogue: no literal of theirs that reads as words stands outside `say`, `mark` and `several`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from scionary import web

SCRIPTS = Path(web.__file__).parent / "static" / "scionary"
LITERAL = r'"(?:[^"\\\n]|\\.)*"|\'(?:[^\'\\\n]|\\.)*\'|`(?:[^`\\]|\\.)*`'
COMMENT = re.compile(r"(?m)^\s*(?://|/?\*).*$|(?<=[;{},)])\s+//.*$")
SAID = re.compile(r'\b(?:say|mark)\(\s*"(?:[^"\\]|\\.)*"|several\([^"]+?,\s*"(?:[^"\\]|\\.)*",\s*"(?:[^"\\]|\\.)*"')
# Names of classes, and what only a log or another script reads.
UNSEEN = re.compile(rf"\b(?:class:\s*(?:[\w. =]+\"\w+\" \? (?:{LITERAL}) : )?|className\s*=\s*|(?:Error|DOMException)\()(?:{LITERAL})")
IN_BRACES = re.compile(r"\$\{[^{}]*\}")
WORDS = re.compile(r"[A-Za-z]{2,} [A-Za-z]{2,}|^[A-Z][a-z]+|[a-z][.!?]$")
# Keys of a keyboard, heads of a request, what a browser or the book calls something, the program's name.
KEYS = {"ArrowDown", "ArrowLeft", "ArrowRight", "ArrowUp", "Enter", "Escape"}
HEADS = {"Bearer ", "Content-Type", "Date", "If-None-Match", "Retry-After"}
NAMES = {"Arrow", "BarcodeDetector", "Scionary", ".plant-row button", ".plant-row button, #rest button", "kept aside"}


def unsaid(script: str) -> Iterator[str]:
    """The literals that a person would read as they stand."""
    rest = UNSEEN.sub("", SAID.sub("", COMMENT.sub("", script)))
    for literal in re.findall(LITERAL, rest):
        words = IN_BRACES.sub("", literal[1:-1])
        if WORDS.search(words) and words not in KEYS | HEADS | NAMES:
            yield words


@pytest.mark.parametrize("path", sorted(SCRIPTS.rglob("*.js")), ids=lambda path: path.name)
def test_a_script_says_nothing_past_the_catalogue(path: Path) -> None:
    assert [*unsaid(path.read_text(encoding="utf-8"))] == []


@pytest.mark.parametrize(
    "script",
    [
        'flag("Raw English words here");',
        "each.title = 'Waiting';",
        "text(`${count} plants here`);",
        'say("All is sent."); text("all is lost.");',
    ],
)
def test_words_past_the_catalogue_are_found(script: str) -> None:
    assert len([*unsaid(script)]) == 1


@pytest.mark.parametrize(
    "script", ['say("All is sent.")', 'several(count, "{count} plant", "{count} plants")', 'h("p", { class: "sheet wide" })']
)
def test_what_is_said_or_names_a_class_is_passed_over(script: str) -> None:
    assert [*unsaid(script)] == []
