"""A tray in words: one sentence, why it is so and what it hangs on, what to look out for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scionary.answers.words import listed, plural
from scionary.language import say, several
from scionary.units import length_words

if TYPE_CHECKING:
    from scionary.answers.tray import PotAsk, TrayAnswer

_NEAR = 0.02  # of a pot's width: one more pot is as good as there, so measure again; project default, unsourced
_LISTED = 6
LEAF_MM = 10.0  # kept free below a cover, since a leaf that touches it stays wet; common practice, no source


def size_words(first_mm: float, second_mm: float, unit: str) -> str:
    """540 × 280 mm."""
    first, second = length_words(first_mm, unit), length_words(second_mm, unit)
    return f"{first.removesuffix(f' {unit}')} × {second}"


def pot_words(pot: PotAsk, count: int, unit: str) -> str:
    """10 square pots of 98 mm."""
    size = _said(pot.across_mm, unit)
    if pot.round:
        return several(count, "{count} round pot of {size}", "{count} round pots of {size}", size=size)
    return several(count, "{count} square pot of {size}", "{count} square pots of {size}", size=size)


def sentence_of(found: TrayAnswer) -> str:
    """How many stand."""
    tray = size_words(found.ask.length_mm, found.ask.width_mm, found.unit)
    stand = [pot_words(pot, count, found.unit) for pot, count in zip(found.ask.pots, found.counts, strict=True) if count]
    if not stand:
        return say("No such pot stands on a tray of {tray} inside.", tray=tray)
    if found.count == 1:
        return say("{pots} stands on a tray of {tray} inside.", pots=listed(stand), tray=tray)
    return say("{pots} stand on a tray of {tray} inside.", pots=listed(stand), tray=tray)


def why_of(found: TrayAnswer) -> tuple[list[str], list[str]]:
    """The lines below the sentence, and those that need an eye."""
    why = [words for words in (_how(found), _most(found), _next(found), _clearance(found), _height(found), _bench(found)) if words]
    flags = [words for words in (_left(found), _wider(found), _low(found), _stopped(found)) if words]
    return why, flags


def _how(found: TrayAnswer) -> str:
    if not found.pots:
        return ""
    return {
        "square rows": say("They stand in straight rows."),
        "staggered rows": say("Every second row is shifted, so that its pots stand between those of the row before."),
        "searched": say("Rows hold fewer. It takes this arrangement: set the pots by the drawing, in the order of their numbers."),
    }.get(found.how, say("Set the pots by the drawing, in the order of their numbers."))


def _most(found: TrayAnswer) -> str:
    if found.proved:
        straight = all(not pot.round for pot in found.ask.pots)
        return say("No arrangement with sides along the tray's holds more.") if straight and found.pots else ""
    if found.at_most is None:
        return say("That no other arrangement holds more is not proved.")
    return say("No place was found for one more; that there is none is proved only for {beyond} pots or more.", beyond=found.at_most + 1)


def _next(found: TrayAnswer) -> str:
    if found.next_width_mm is None or found.next_width_mm <= 0 or any(found.left_over) or found.ask.pots[0].count is not None:
        return ""
    widest, lacking = found.next_width_mm, found.ask.pots[0].across_mm - found.next_width_mm
    if not found.count:
        return say("Pots of at most {widest} would stand.", widest=length_words(_down(widest, found.unit), found.unit))
    if lacking < _NEAR * found.ask.pots[0].across_mm:
        return say(
            "One more would stand if pots were {lacking} narrower: measure them, and the tray, once more.",
            lacking=_said(max(lacking, 0.1), "mm"),
        )
    return say("One more would stand if pots were at most {widest} wide.", widest=length_words(_down(widest, found.unit), found.unit))


def _said(size_mm: float, unit: str) -> str:
    """A length without a needless nought behind the point."""
    return length_words(size_mm, unit).replace(".0 ", " ")


def _down(width_mm: float, unit: str) -> float:
    """Rounded down to what is shown, so that what is said does fit."""
    step = 25.4 / 16 if unit == "in" else 1.0 if width_mm >= 20 else 0.1
    return int(width_mm / step + 1e-9) * step


def _clearance(found: TrayAnswer) -> str:
    said = []
    if found.ask.clearance_mm:
        said.append(say("{free} between pots are kept free for leaves.", free=_said(found.ask.clearance_mm, found.unit)))
    if found.ask.tolerance_mm > 0:
        said.append(say("Rims are taken to give {give} across.", give=_said(found.ask.tolerance_mm, "mm")))
    if found.ask.tolerance_mm < 0:
        said.append(say("Pots are taken to be {more} wider than measured.", more=_said(-found.ask.tolerance_mm, "mm")))
    return " ".join(said)


def _height(found: TrayAnswer) -> str:
    if found.ask.cover_mm is None or not found.pots:
        return ""
    free = min(pot.free_mm or 0.0 for pot in found.pots)
    if free <= 0:
        return ""
    words = length_words(_down(free, found.unit), found.unit)
    if found.ask.pot_height_mm is None:
        return say("From the tray's floor to the cover there are {free} where it is lowest above a pot's middle.", free=words)
    return say("Above the rims there are {free} to the cover where it is lowest.", free=words)


def _bench(found: TrayAnswer) -> str:
    if found.bench is None:
        return ""
    bench = size_words(found.bench.length_mm, found.bench.width_mm, found.unit)
    trays, pots = plural(found.bench.count, "tray"), plural(found.bench.count * found.count, "pot")
    turned = int(found.bench.turned.sum())
    said = say("A bench of {bench} takes {trays}: {pots}.", bench=bench, trays=trays, pots=pots)
    if 0 < turned < found.bench.count:
        said += " " + several(turned, "{count} tray lies crosswise.", "{count} trays lie crosswise.")
    return said


def _left(found: TrayAnswer) -> str:
    left = [pot_words(pot, count, found.unit) for pot, count in zip(found.ask.pots, found.left_over, strict=True) if count]
    return say("No place for {pots}.", pots=listed(left)) if left else ""


def _wider(found: TrayAnswer) -> str:
    if found.when_wider is None or any(found.left_over) or found.ask.pots[0].count is not None:
        return ""
    return several(
        found.when_wider,
        "If pots are 2 mm wider than measured, {count} stands.",
        "If pots are 2 mm wider than measured, {count} stand.",
    )


def _low(found: TrayAnswer) -> str:
    low = [pot.place for pot in found.pots if pot.too_low]
    if not low:
        return ""
    needed = ""
    if found.ask.scion_mm is not None:
        scion, free = (_said(size, found.unit) for size in (found.ask.scion_mm, LEAF_MM))
        needed = " " + say("Scions stand {scion} above the rim, and {free} are kept free above them.", scion=scion, free=free)
    if len(low) == found.count:
        return say("The cover is too low for them.") + needed
    places = listed([*map(str, low[:_LISTED]), *([say("{count} more", count=len(low) - _LISTED)] if len(low) > _LISTED else [])])
    said = several(len(low), "The cover is too low at place {places}.", "The cover is too low at places {places}.", places=places)
    return said + needed


def _stopped(found: TrayAnswer) -> str:
    return "" if found.whole else say("The search was stopped: more may be possible.")
