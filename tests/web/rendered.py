"""What every page must keep: no inline script, no inline style, one heading, words for pictures."""

from __future__ import annotations

import re

from django.http import HttpResponse

_HANDLER = re.compile(r"<[^>]*\son[a-z]+\s*=", re.IGNORECASE)


def check_page(response: HttpResponse) -> str:
    """The page's text, after looking that its policy is strict and that the page keeps to it."""
    text = response.content.decode()
    policy = response["Content-Security-Policy"]
    assert "'unsafe-inline'" not in policy
    assert "'unsafe-eval'" not in policy
    assert "default-src 'none'" in policy
    assert not re.search(r"<style|\sstyle\s*=", text), "inline style"
    assert not re.search(r"<script(?![^>]*\ssrc=)", text), "inline script"
    assert not _HANDLER.search(text), "inline handler"
    assert "javascript:" not in text
    assert not re.search(r"(?:src|href|action)=[\"']https?:", text), "something from outside"
    return text
