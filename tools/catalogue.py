"""Every text of the program that a person reads, gathered from its sources into one template for translators.

    python tools/catalogue.py             write src/scionary/locale/scionary.pot again
    python tools/catalogue.py --check     say whether it is up to date, and end with 1 where it is not
    python tools/catalogue.py --of FILE   say of a translation how much is done, and which texts lost a brace

Texts of Python are the first argument of `say`, `mark` and `later`, both numbers of `several`, `plural` and `forms`, and `where` something
is refused; of pages those of Django's `translate` and `blocktranslate`; of scripts the first argument of `say` and `mark` and both numbers
of `several`. Those of scripts are listed by themselves as well, in `scripts.json`: a phone is sent their translations and no others. The
terminal and the demo speak English.
"""

from __future__ import annotations

import argparse
import ast
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

SOURCES = Path(__file__).resolve().parent.parent / "src" / "scionary"
TEMPLATE = SOURCES / "locale" / "scionary.pot"
OF_SCRIPTS = SOURCES / "locale" / "scripts.json"
_IN_ENGLISH = ("cli", "demo")  # the terminal's `say` prints
_OF_ONE = ("say", "mark", "later", "Told")
_OF_NUMBERS = {"several": 1, "plural": 1, "forms": 0}  # which argument is the singular
_BRACES = re.compile(r"\{\w*[^{}]*\}|%\(\w+\)s")
_STRING = r"""(?:"(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')"""
_QUOTED = r'"(?:[^"\\]|\\.)*"'
_IN_SCRIPTS = re.compile(rf"\b(?:(?:say|mark)\(\s*({_QUOTED})|several\([^\"]+?,\s*({_QUOTED}),\s*({_QUOTED}))")
_IN_PAGES = re.compile(rf"\b(?:gettext|ngettext|_)\(\s*u?({_STRING})(?:,\s*u?({_STRING}))?")

Message = tuple[str, str] | str


def gathered(sources: Path = SOURCES) -> Catalog:
    """All texts, in the order of their files; a text stands once, however often it is used."""
    catalogue = Catalog(project="Scionary", charset="utf-8", fuzzy=False)
    for path in sorted(path for path in sources.rglob("*") if path.suffix in (".py", ".html", ".js")):
        if path.relative_to(sources).parts[0] in _IN_ENGLISH:
            continue
        for message in _messages(path):
            catalogue.add(message, locations=[(path.relative_to(sources).as_posix(), 0)])
    return catalogue


def _messages(path: Path) -> Iterator[Message]:
    return _READ[path.suffix](path.read_text(encoding="utf-8"))


def _of_code(source: str) -> Iterator[Message]:
    """The texts of Python, also those of calls within calls; where `plural` is given one form, the other adds an s."""
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    for call in sorted(calls, key=lambda call: (call.lineno, call.col_offset)):
        name = getattr(call.func, "id", getattr(call.func, "attr", ""))
        texts = [each.value if isinstance(each, ast.Constant) and isinstance(each.value, str) else "" for each in call.args]
        yield from (text for each in call.keywords if each.arg == "where" and (text := _text(each.value)))
        if name in _OF_ONE and texts and texts[0]:
            yield texts[0]
        elif name in _OF_NUMBERS:
            one, many = [*texts[_OF_NUMBERS[name] :], "", ""][:2]
            if one and (many or len(texts) == 2):
                yield one, many or f"{one}s"


def _text(node: ast.expr) -> str:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def _of_script(source: str) -> Iterator[Message]:
    """The texts of a script, which stand in double quotes."""
    for found in _IN_SCRIPTS.finditer(source):
        text, one, many = (json.loads(each) if each else "" for each in found.groups())
        if text or one:
            yield text or (one, many)


def _of_page(source: str) -> Iterator[Message]:
    """The texts of a page, by Django's own reading of it."""
    from django.utils.translation.template import templatize

    for found in _IN_PAGES.finditer(templatize(source)):
        one, many = (str(ast.literal_eval(each)) if each else "" for each in found.groups())
        if one:
            yield (one, many) if many else one


_READ = {".py": _of_code, ".html": _of_page, ".js": _of_script}


def of_scripts(catalogue: Catalog) -> list[Message]:
    """The texts that some script says, by the alphabet."""
    found: list[Any] = [message.id for message in catalogue if any(path.endswith(".js") for path, _ in message.locations)]
    return sorted(found, key=lambda message: message if isinstance(message, str) else message[0])


def _listed(messages: list[Message]) -> str:
    return json.dumps(messages, ensure_ascii=False, indent=0) + "\n"


def _same(first: Catalog, second: Catalog) -> bool:
    return {message.id for message in first} == {message.id for message in second}


def _texts(said: Any) -> list[str]:
    return [str(text or "") for text in (said if isinstance(said, tuple | list) else [said])]


def wrong_braces(translated: Catalog) -> list[str]:
    """Texts whose translation has other braces than they have: the program passes it over."""
    wrong = []
    for message in translated:
        english, said = _texts(message.id), _texts(message.string)
        wanted, found = ([set(_BRACES.findall(text)) for text in texts] for texts in (english, said))
        odd = any(braces - set().union(*wanted) for braces in found) or (len(english) == 1 and wanted[0] != found[0])
        if message.id and any(said) and odd:
            wrong.append(english[0])
    return wrong


def tell_of(path: Path) -> int:
    """How far a translation is."""
    with path.open("rb") as file:
        translated = read_po(file)
    wanted, done = gathered(), {message.id for message in translated if message.id and message.string and not message.fuzzy}
    print(f"catalogue: {sum(message.id in done for message in wanted)} of {len(wanted)} texts translated")
    wrong = wrong_braces(translated)
    for text in wrong:
        print(f"other braces: {text}")
    return 1 if wrong else 0


def main() -> int:
    parser = argparse.ArgumentParser(description="Gather the texts of the program for translators.")
    parser.add_argument("--check", action="store_true", help="say whether the template is up to date")
    parser.add_argument("--of", type=Path, help="say how far this translation is", metavar="FILE")
    asked = parser.parse_args()
    if asked.of:
        return tell_of(asked.of)
    found = gathered()
    if asked.check:
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
