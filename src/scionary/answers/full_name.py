"""A cultivar's full name: its botanical name, with the name it is sold under kept apart, and what looks unusual about it."""

from __future__ import annotations

from dataclasses import replace

from scionary.book.models import Cultivar
from scionary.errors import BadValue
from scionary.language import say
from scionary.names import BotanicalName, botanical_name


def full_name(cultivar: Cultivar | None) -> BotanicalName | None:
    """The name in its parts, the trade designation that was written down among them; None where there is neither.

    A designation that stands in the botanical name of an older record is kept where none is written down of its own.
    """
    if cultivar is None or not (cultivar.botanical or cultivar.trade_designation):
        return None
    name = _parsed(cultivar.botanical)
    trade = cultivar.trade_designation.strip()
    if not trade or trade.casefold() == name.trade_designation.casefold():
        return name
    kept = " ".join(part for part in (name.trade_designation, name.trailing) if part)
    return replace(name, trade_designation=trade, trailing=kept)


def name_warnings(cultivar: Cultivar) -> list[str]:
    """What in a cultivar's names departs from the Cultivated Plant Code, one sentence each, with the article where that is known."""
    name = _parsed(cultivar.botanical)
    return [*name.warnings, *trade_warnings(cultivar.trade_designation, name)]


def trade_warnings(trade: str, name: BotanicalName) -> list[str]:
    """What is odd about a trade designation beside a name."""
    if not trade.strip():
        return []
    told = []
    if any(sign in trade for sign in "'‘’\"“”"):
        told.append(say("A trade designation stands without quotes (ICNCP art. 17, from memory)."))
    if trade.strip("'‘’\"“” ").casefold() == name.cultivar.casefold():
        told.append(say("The trade designation is the cultivar's own name; then it is none (ICNCP art. 17, from memory)."))
    if not name.cultivar:
        told.append(
            say("A trade designation stands beside the cultivar's own name, which is not written down (ICNCP art. 17, from memory).")
        )
    return told


def _parsed(text: str) -> BotanicalName:
    if not text:
        return BotanicalName()
    try:
        return botanical_name(text)
    except BadValue:
        return BotanicalName(rest=text)
