"""What is needed against what is there, one bar a resource, each at its own scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scionary.answers.plan_answer import Resource
from scionary.language import say

_LEFT, _WIDTH, _ROW = 2.0, 326.0, 52.0
# Where a person changes what is there.
_EDITED_AT = {"stocks": "/book/lots/", "sticks": "/book/trees/", "trays": "/domes/", "hours": "/book/settings/"}


@dataclass(frozen=True)
class ResourceBar:
    """One resource in drawing units; `have` is None where it is not known."""

    name: str
    words: str
    edit: str
    top: float
    covered: float
    short_from: float
    short: float
    have: float | None
    is_short: bool

    @property
    def name_y(self) -> float:
        return self.top + 14.0

    @property
    def bar_y(self) -> float:
        return self.top + 22.0


def resource_bars(resources: Sequence[Resource]) -> list[ResourceBar]:
    return [_bar(resource, place * _ROW) for place, resource in enumerate(resources)]


def _bar(resource: Resource, top: float) -> ResourceBar:
    needed, have = resource.needed, resource.have
    largest = max(needed, have or 0.0, 1e-9)
    scale = _WIDTH / largest
    covered = needed if have is None else min(needed, have)
    short = needed - covered
    return ResourceBar(
        name=resource.name,
        words=_words(needed, have),
        edit=_EDITED_AT[resource.kind],
        top=top,
        covered=round(covered * scale, 1),
        short_from=round(_LEFT + covered * scale, 1),
        short=round(short * scale, 1),
        have=None if have is None else round(have * scale, 1),
        is_short=short > 1e-9,
    )


def _words(needed: float, have: float | None) -> str:
    if have is None:
        return say("{needed} needed; how many there are is not written down", needed=_said(needed))
    if needed > have:
        return say("{needed} needed, {have} there: {short} short", needed=_said(needed), have=_said(have), short=_said(needed - have))
    return say("{needed} needed, {have} there", needed=_said(needed), have=_said(have))


def _said(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
