"""A text of a template is looked up once in each language, and never shown in another's words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.template import Context, Template
from django.utils.translation import override

from pseudo import CLOSE, CODE, OPEN, write_pseudo_language
from scionary.web.templatetags import words_held

TEXT = '{% for each in rows %}{% translate "Take a photo" %} {% translate "Undo" as word %}{{ word }} {% translate words %};{% endfor %}'


def drawn(template: Template, language: str) -> str:
    with override(language):
        return template.render(Context({"rows": [1, 2], "words": "Next"}))


def test_each_language_has_its_own_words_whoever_reads_first(settings: Any, tmp_path: Path) -> None:
    template = Template(TEXT)
    for number, form in enumerate((str.upper, str.title)):  # two catalogues under one name, one after the other
        folder = tmp_path / str(number)
        write_pseudo_language(folder, form)
        settings.LOCALE_PATHS = [folder]
        settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]
        other = "".join(f"{OPEN}{form('Take a photo')}{CLOSE} {OPEN}{form('Undo')}{CLOSE} {OPEN}{form('Next')}{CLOSE};" for _ in range(2))
        for language in ("en-gb", CODE, "en-gb", CODE):
            assert drawn(template, language) == ("Take a photo Undo Next;" * 2 if language == "en-gb" else other)


def test_a_fixed_text_is_looked_up_once(monkeypatch: pytest.MonkeyPatch) -> None:
    looked_up = []
    real = words_held.TranslateNode.render
    monkeypatch.setattr(words_held.TranslateNode, "render", lambda node, context: looked_up.append(1) or real(node, context))
    assert drawn(Template('{% for each in rows %}{% translate "Take a photo" %};{% endfor %}'), "en-gb") == "Take a photo;" * 2
    assert len(looked_up) == 1
