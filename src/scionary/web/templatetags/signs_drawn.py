"""Early signs as pictures, each with a table behind it: shares that show a sign, and bud push by day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from django import template

from scionary.answers.sign_findings import PushDay, PushFinding, SignWorth
from scionary.answers.words import percent
from scionary.language import say
from scionary.web.templatetags.bars import Told, _drawing, _per_cent

register = template.Library()
_LEFT, _RIGHT, _TOP, _FOOT = 42.0, 322.0, 10.0, 176.0
_MOST_TICKS = 6


@register.inclusion_tag("drawings/sign_bars.html", name="sign_bars")
def sign_bars_tag(worth: SignWorth) -> dict[str, Any]:
    """How many takes and how many failures show a sign; the further apart, the more it says."""
    drawn = []
    for name, end, (mid, low, high) in ((say("took"), "taken", worth.shown_by_takes), (say("failed"), "lost", worth.shown_by_failures)):
        shown, of = worth.counts[f"yes_{end}"], worth.counts[f"yes_{end}"] + worth.counts[f"no_{end}"]
        words = say("{name}: {share} show it; counted: {shown} of {all}", name=name, share=percent(mid), shown=shown, all=of)
        drawn.append(
            Told(
                name,
                low,
                mid,
                high,
                words,
                say("{shown} of {all}", shown=shown, all=of) if of else say("none yet"),
                shown / of if of else None,
            )
        )
    return {
        "worth": worth,
        "rows": drawn,
        **_drawing(drawn, say("Shares that show {sign}: the table below has the numbers", sign=worth.name), _per_cent()),
    }


@register.inclusion_tag("drawings/push_curve.html", name="push_curve")
def push_curve_tag(push: PushFinding) -> dict[str, Any]:
    """The share of takes whose bud has moved, by day, with its range; and of failures."""
    last = push.days[-1].day
    weeks = [row.day for row in push.days]
    every = -(-len(weeks) // _MOST_TICKS)

    def across(day: float) -> float:
        return round(_LEFT + day / last * (_RIGHT - _LEFT), 1)

    def up(share: float) -> float:
        return round(_FOOT - share * (_FOOT - _TOP), 1)

    def line(of: Callable[[PushDay], float], rows: Sequence[PushDay]) -> str:
        return "L".join(f"{across(row.day)} {up(of(row))}" for row in rows)

    start = f"{across(0)} {up(0)}"
    return {
        "push": push,
        "band": f"M{start}L{line(lambda row: row.high, push.days)}L{line(lambda row: row.low, push.days[::-1])}Z",
        "middle": f"M{start}L{line(lambda row: row.mid, push.days)}",
        "lost": f"M{start}L{line(lambda row: row.if_lost, push.days)}",
        "days": [(across(day), day) for day in weeks[every - 1 :: every]],
        "shares": [(up(share / 100), f"{share} %") for share in (0, 25, 50, 75, 100)],
        "left": _LEFT,
        "right": _RIGHT,
        "top": _TOP,
        "foot": _FOOT,
    }
