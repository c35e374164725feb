"""Names that were perhaps meant: the book's own names that are spelt nearly like what was typed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

_CLOSE_ENOUGH = 80.0  # project default, unsourced: "Red Tran" is 87 from "Red Tarn", "Red Fell" 62
_MOST = 3


def folded(name: str) -> str:
    """A name without what people write differently: case, accents, quotes, hyphens, double spaces."""
    bare = "".join(letter for letter in unicodedata.normalize("NFKD", name) if not unicodedata.combining(letter))
    kept = "".join(letter if letter.isalnum() or letter in "'’" else " " for letter in bare.casefold())
    return " ".join(kept.replace("'", "").replace("’", "").split())


def did_you_mean(name: str, known: Iterable[str], *, most: int = _MOST) -> list[str]:
    """Known names that are spelt nearly like this one or begin with it, closest first; a name that is known gives none.

    One that differs by accents, quotes or hyphens alone is no known name yet: it comes first.
    """
    from rapidfuzz import fuzz, process

    choices = {candidate: folded(candidate) for candidate in known}
    wanted = folded(name)
    if not wanted or any(_same(name, candidate) for candidate in choices):
        return []
    found = process.extract(wanted, choices, scorer=fuzz.ratio, limit=most, score_cutoff=_CLOSE_ENOUGH)
    longer = [candidate for candidate, plain in choices.items() if plain.startswith(f"{wanted} ")]
    return list(dict.fromkeys([*(candidate for _, _, candidate in found), *longer]))[:most]


def numbered_apart(first: str, second: str) -> bool:
    """Seedling 1 and Seedling 2: the numbers tell them apart on purpose."""
    mine, other = re.findall(r"\d+", first), re.findall(r"\d+", second)
    return bool(mine and other and mine != other)


def _same(first: str, second: str) -> bool:
    return " ".join(first.casefold().split()) == " ".join(second.casefold().split())
