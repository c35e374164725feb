"""The texts that scripts say, in the reader's language: sent once, kept by the phone, and asked for by other pages' scripts."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

import scionary

_OF_SCRIPTS = Path(scionary.__file__).parent / "locale" / "scripts.json"  # written by tools/catalogue.py
_COUNTED = range(200)  # the form of a number beyond these follows from its last two figures, in every language with a catalogue


@require_safe
def words(request: HttpRequest) -> HttpResponse:
    """The catalogue of the reader's language, as far as scripts need it."""
    return HttpResponse(words_sent(), content_type="application/json", headers={"Cache-Control": "no-cache"})


def words_address() -> str:
    """Where the catalogue is asked for; another catalogue, another address."""
    return f"/hand/words.json?v={hashlib.sha256(words_sent()).hexdigest()[:12]}"


def words_sent() -> bytes:
    """The catalogue as it is sent."""
    return json.dumps(catalogue(), ensure_ascii=False, separators=(",", ":")).encode()


def catalogue() -> dict[str, Any]:
    """Texts by their English; for those with a number their forms, and which rule tells the form of each number.

    Without a translation nothing is sent: the script has the English.
    """
    texts, numbers, rules = {}, {}, []
    for message in _messages():
        one = message if isinstance(message, str) else message[0]
        if (said := gettext(one)) != one:
            texts[one] = said
        if isinstance(message, str):
            continue
        forms, rule = _forms(*message)
        if forms != list(message):
            if rule not in rules:
                rules.append(rule)
            numbers[one] = [forms, rules.index(rule)]
    return {"texts": texts, "numbers": numbers, "rules": rules}


def _forms(one: str, many: str) -> tuple[list[str], str]:
    """All forms of a text with a number, and for each number a figure: which form it takes."""
    said = [ngettext(one, many, count) for count in _COUNTED]
    forms = list(dict.fromkeys([said[1], *said]))
    return forms, "".join(str(forms.index(each)) for each in said)


@lru_cache(maxsize=1)
def _messages() -> list[Any]:
    found: list[Any] = json.loads(_OF_SCRIPTS.read_text(encoding="utf-8"))
    return found
