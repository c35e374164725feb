"""Names in a file: which the book knows, which are new to it, and which of these are nearly others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from scionary.answers.spelling import did_you_mean, folded, numbered_apart
from scionary.answers.words import listed
from scionary.language import forms, say, several

_MOST = 3
_MOST_TOLD = 12
_KINDS = {"cultivar": forms("cultivar", "cultivars"), "method": forms("method", "methods"), "lot": forms("stock lot", "stock lots")}


@dataclass(frozen=True)
class NamePreview:
    """A name in the file: whether the book knows it, and which names of the book or of the file are nearly the same."""

    name: str
    rows: int
    grafts: int
    known: bool
    perhaps: tuple[str, ...] = ()


def names_used(used: Iterable[tuple[str, int]], known: Iterable[str], *, parts: bool = False) -> tuple[NamePreview, ...]:
    """Names in the file, those new to the book first; with `parts` a name that is a part of another is nearly that one too."""
    spelled = {name.casefold(): name for name in known}
    rows: Counter[str] = Counter()
    grafts: Counter[str] = Counter()
    shown: dict[str, str] = {}
    for name, count in used:
        if name:
            key = name.casefold()
            shown.setdefault(key, spelled.get(key, name))
            rows[key] += 1
            grafts[key] += count
    found = []
    for key, name in shown.items():
        perhaps = () if key in spelled else _perhaps(key, shown, rows, spelled, parts=parts)
        found.append(NamePreview(name, rows[key], grafts[key], key in spelled, perhaps))
    return tuple(sorted(found, key=lambda entry: (entry.known, entry.name.casefold())))


def new_names_words(kinds: Mapping[str, Iterable[NamePreview]]) -> str:
    """New to the book: cultivar Ash Gill; methods cleft and whip. Empty when every name is known."""
    said = _by_kind({kind: [entry.name for entry in entries if not entry.known] for kind, entries in kinds.items()})
    return say("New to the book: {said}.", said=said) if said else ""


def added_words(kinds: Mapping[str, Sequence[str]]) -> str:
    """Added to the book: cultivar Ash Gill; methods cleft and whip. Empty when nothing was."""
    said = _by_kind(kinds)
    return say("Added to the book: {said}.", said=said) if said else ""


def _by_kind(kinds: Mapping[str, Sequence[str]]) -> str:
    said = [f"{several(len(names), *_KINDS[kind])} {listed(names, most=_MOST_TOLD)}" for kind, names in kinds.items() if names]
    return "; ".join(said)


def _perhaps(key: str, shown: Mapping[str, str], rows: Mapping[str, int], spelled: Mapping[str, str], *, parts: bool) -> tuple[str, ...]:
    """Near names in the book, and those of the file that stand more often in it, or as often and before."""
    order = {other: (-rows[other], at) for at, other in enumerate(shown)}
    others = [name for other, name in shown.items() if order[other] < order[key]]
    candidates = list(dict.fromkeys([*spelled.values(), *others]))
    wanted = folded(shown[key])
    alike = [name for name in candidates if folded(name) == wanted]
    near = did_you_mean(shown[key], [name for name in candidates if folded(name) != wanted], most=_MOST * 4)
    if parts:
        near = [name for name in near if not numbered_apart(wanted, folded(name))]
        near += [name for name in candidates if _is_part(wanted, folded(name))]
    return tuple(dict.fromkeys([*alike, *near]))[:_MOST]


def _is_part(first: str, second: str) -> bool:
    """Whether all words of one stand in the other."""
    mine, other = set(first.split()), set(second.split())
    return bool(mine and other) and (mine <= other or other <= mine)
