"""Rules of this house that no other checker knows: what may stand in a template, and what in the lock."""

from __future__ import annotations

import re
from pathlib import Path

# What the content security policy of every page would stop, or what would reach outside.
UNWANTED = {
    "a script inside the page; put it into a file under static/": re.compile(r"<script(?![^>]*\bsrc=)[^>]*>", re.IGNORECASE),
    "a style element; put the rule into the stylesheet": re.compile(r"<style\b", re.IGNORECASE),
    "a style attribute; give it a class": re.compile(r"<[^>]*\sstyle\s*=", re.IGNORECASE),
    "an event attribute; listen for it in a script": re.compile(r"<[^>]*\son[a-z]+\s*=\s*[\"']", re.IGNORECASE),
    "an attribute that needs eval": re.compile(r"\shx-(?:on|vars\b|vals\s*=\s*[\"']js:)", re.IGNORECASE),
    "something loaded from outside": re.compile(
        r"<(?:script|link|img|iframe|source|use)\b[^>]*\b(?:src|href)\s*=\s*[\"'](?:https?:)?//", re.IGNORECASE
    ),
}
ADDRESS = re.compile(r"https?://|^\s*-?-(?:index-url|extra-index-url|find-links|trusted-host|i|f)\b|\bfile:", re.IGNORECASE)


def breaches_in_template(path: Path) -> list[str]:
    """Each place of a template that the content security policy would stop, or that reaches outside."""
    text = path.read_text(encoding="utf-8")
    found = []
    for why, pattern in UNWANTED.items():
        found += [f"{path}:{text.count(chr(10), 0, match.start()) + 1}: {why}" for match in pattern.finditer(text)]
    return found


def addresses_in_lock(path: Path) -> list[str]:
    """Each line of a lock file that names an address or an index of packages."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [f"{path}:{number}: an address in the lock: {line.strip()}" for number, line in enumerate(lines, 1) if ADDRESS.search(line)]
