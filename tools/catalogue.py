"""Every text of the program that a person reads, gathered from its sources into one template for translators.

    python tools/catalogue.py             write src/scionary/locale/scionary.pot again
    python tools/catalogue.py --check     say whether it is up to date, and end with 1 where it is not

Texts of Python are the first argument of `say`, `mark` and `later`, and both numbers of `several` and `plural`; of pages those of Django's
`translate` and `blocktranslate`; of scripts the first argument of `say` and `mark` and both numbers of `several`. Those of scripts are
listed by themselves as well, in `scripts.json`: a phone is sent their translations and no others.
"""

from __future__ import annotations

import argparse
import ast
import json
import re
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import read_po, write_po

SOURCES = Path(__file__).resolve().parent.parent / "src" / "scionary"
TEMPLATE = SOURCES / "locale" / "scionary.pot"
OF_SCRIPTS = SOURCES / "locale" / "scripts.json"
_KEYWORDS = {"say": None, "mark": None, "later": None, "several": (2, 3), "plural": (2, 3)}
_STRING = r"""(?:"(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')"""
_IN_PAGES = re.compile(rf"\b(?:gettext|ngettext|_)\(\s*u?({_STRING})(?:,\s*u?({_STRING}))?")

Message = tuple[str, str] | str


def gathered(sources: Path = SOURCES) -> Catalog:
    """All texts, in the order of their files; a text stands once, however often it is used."""
    catalogue = Catalog(project="Scionary", charset="utf-8", fuzzy=False)
    for path in sorted(path for path in sources.rglob("*") if path.suffix in (".py", ".html", ".js")):
        for message in _messages(path):
            catalogue.add(message, locations=[(path.relative_to(sources).as_posix(), 0)])
    return catalogue


def _messages(path: Path) -> Iterator[Message]:
    if path.suffix == ".html":
        return _of_page(path.read_text())
    return _of_code("python" if path.suffix == ".py" else "javascript", path.read_bytes())


def _of_code(language: str, source: bytes) -> Iterator[Message]:
    options = {"parse_template_string": True} if language == "javascript" else {}
    for _line, message, _comments, _context in extract(language, BytesIO(source), keywords=_KEYWORDS, options=options):
        if isinstance(message, tuple) and all(message):
            yield message[0], message[1]
        elif message and isinstance(message, str):
            yield message


def _of_page(source: str) -> Iterator[Message]:
    """The texts of a page, by Django's own reading of it."""
    from django.utils.translation.template import templatize

    for found in _IN_PAGES.finditer(templatize(source)):
        one, many = (str(ast.literal_eval(each)) if each else "" for each in found.groups())
        if one:
            yield (one, many) if many else one


def of_scripts(catalogue: Catalog) -> list[Message]:
    """The texts that some script says, by the alphabet."""
    found: list[Any] = [message.id for message in catalogue if any(path.endswith(".js") for path, _ in message.locations)]
    return sorted(found, key=lambda message: message if isinstance(message, str) else message[0])


def _listed(messages: list[Message]) -> str:
    return json.dumps(messages, ensure_ascii=False, indent=0) + "\n"


def _same(first: Catalog, second: Catalog) -> bool:
    return {message.id for message in first} == {message.id for message in second}


def main() -> int:
    parser = argparse.ArgumentParser(description="Gather the texts of the program for translators.")
    parser.add_argument("--check", action="store_true", help="say whether the template is up to date")
    found = gathered()
    if parser.parse_args().check:
        kept = read_po(TEMPLATE.open("rb")) if TEMPLATE.exists() else Catalog()
        if not _same(found, kept) or not OF_SCRIPTS.exists() or OF_SCRIPTS.read_text() != _listed(of_scripts(found)):
            print("catalogue: texts have changed; write the template again with python tools/catalogue.py")
            return 1
        return 0
    TEMPLATE.parent.mkdir(exist_ok=True)
    with TEMPLATE.open("wb") as out:
        write_po(out, found, omit_header=True, sort_output=False, include_lineno=False, width=140)
    OF_SCRIPTS.write_text(_listed(of_scripts(found)))
    print(f"catalogue: {len(found)} texts written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
