"""What is too long is turned away before any page reads it: the sentence in the reader's language, the status line as HTTP has it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.test import RequestFactory

from pseudo import CLOSE, CODE, OPEN, write_pseudo_language
from scionary.limits import longest_request
from scionary.web.shared import application

_TOO_LONG = longest_request() + 1


@pytest.fixture
def tongue(settings: Any, tmp_path: Path) -> None:
    write_pseudo_language(tmp_path)
    settings.LOCALE_PATHS = [tmp_path]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]


def answer(language: str) -> tuple[str, str]:
    """(status line, body) of a request that is one byte too long."""
    environ = RequestFactory().post("/book/import/look/", headers={"accept-language": language}).environ
    told: list[str] = []
    body = application({**environ, "CONTENT_LENGTH": str(_TOO_LONG)}, lambda status, headers: told.append(status))
    return told[0], b"".join(body).decode()


def test_what_is_too_long_is_turned_away_in_words() -> None:
    assert answer("en") == ("413 Content Too Large", f"That is more than {_TOO_LONG - 1:,} bytes at once.\n")


def test_the_sentence_is_in_the_reader_s_language_and_the_status_line_is_not(tongue: None) -> None:
    status, body = answer(CODE)
    assert status == "413 Content Too Large"
    assert body.startswith(OPEN)
    assert body.endswith(f"{CLOSE}\n")
