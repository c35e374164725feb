"""Names of cultivars that are nearly one in the book: asked about before anything is written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from scionary.errors import Refused


def cultivar_meant(name: str, *, new: bool) -> str:
    """The cultivar of this name as the book spells it, or a new name; one that is nearly in the book is refused unless it is `new`."""
    from scionary.answers.spelling import did_you_mean
    from scionary.book.models import Cultivar

    typed = " ".join(name.split())
    known = Cultivar.objects.filter(spoken__iexact=typed).first()
    if known is not None:
        return known.spoken
    near = did_you_mean(typed, Cultivar.objects.values_list("spoken", flat=True))
    if near and not new:
        remedy = f"Did you mean {' or '.join(near)}? If it is a new cultivar, add --new."
        raise Refused(f"the book holds no {typed}.", where="cultivar", remedy=remedy)
    return typed


def names_that_are_the_same(texts: Sequence[str]) -> dict[str, str]:
    """What the person says of names in a file: 'Ash Gil=Ash Gill'."""
    found: dict[str, str] = {}
    for text in texts:
        written, sign, meant = (part.strip() for part in text.partition("="))
        if not sign or not written or not meant:
            raise Refused(f"{text!r} says of no name what it is.", where="--same", remedy="Write WRITTEN=MEANT: 'Ash Gil=Ash Gill'.")
        found[written] = meant
    return found


def near_names(seen: object) -> dict[str, Sequence[str]]:
    """The names of a file that are new to the book and nearly like others, with these."""
    from scionary.answers.imports import ImportPreview, WishPreview
    from scionary.answers.spelling import did_you_mean
    from scionary.book.models import Cultivar

    if isinstance(seen, ImportPreview):
        return {name.name: name.perhaps for name in seen.cultivars if name.perhaps}
    if isinstance(seen, WishPreview):
        known = list(Cultivar.objects.values_list("spoken", flat=True))
        return {name: near for name in seen.new_cultivars if (near := did_you_mean(name, known))}
    return {}


def refuse_near_names(near: Mapping[str, Sequence[str]], file: str) -> None:
    """Refuse a file as long as it holds names that are nearly others."""
    if near:
        first, *others = near
        more = f" {len(others)} more: {', '.join(others[:6])}." if others else ""
        said = f"{first} is new to the book and nearly {' or '.join(near[first])}.{more}"
        raise Refused(said, where=file, remedy=f"Say {same_as(first, near[first])}, or --new-names if these are new cultivars.")


def same_as(name: str, near: Iterable[str]) -> str:
    return f"--same '{name}={next(iter(near))}'"
