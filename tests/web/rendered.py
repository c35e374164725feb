"""What every page must keep: no inline script, no inline style, one heading, words for pictures."""

from __future__ import annotations

import html
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


def form_of(text: str, words: str) -> tuple[str, dict[str, list[str]]]:
    """Where the form with a button of these words goes, and what it sends as it stands."""
    form = next(
        part for part in (each.split("</form>")[0] for each in text.split("<form")[1:]) if re.search(rf"<button[^>]*>{words}", part)
    )
    sent: dict[str, list[str]] = {}
    for name, value in re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form):
        sent.setdefault(name, []).append(html.unescape(value))
    address = re.search(r'action="([^"]+)"', form)
    assert address, "a form that names no address"
    return html.unescape(address[1]), sent
