"""Protected names: what to say before one propagates a cultivar that is recorded as protected."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scionary.errors import BadValue
from scionary.language import mark, say


@dataclass(frozen=True)
class Protection:
    """A cultivar that a person wrote down as protected.

    Attributes
    ----------
    name : str
        The cultivar, as it is to be said.
    until : date or None
        Last day of the protection as far as the person knows; None when they do not know it.
    register_word : str
        What to look it up in, such as "the plant variety register of the country".
    """

    name: str
    until: date | None = None
    register_word: str = mark("the plant variety register of the country")

    def __post_init__(self) -> None:
        """Refuse what no sentence can be made of."""
        for field in ("name", "register_word"):
            value = getattr(self, field)
            if not isinstance(value, str) or not value.strip():
                raise BadValue(field, value, say("some words"))
        if self.until is not None and not isinstance(self.until, date):
            raise BadValue("until", self.until, say("a date, or None when it is not known"))


def protection_words(protection: Protection, today: date) -> str:
    """Say how a protection stands on a day, and where to make sure.

    Parameters
    ----------
    protection : Protection
        What was written down.
    today : date
        The day it is asked for.

    Returns
    -------
    str
        One or two sentences. They never say that a plant may be propagated: terms differ by country and are extended or given up, so the
        register decides.
    """
    name, look = protection.name, say("Check {register_word}", register_word=protection.register_word)
    if protection.until is None:
        return say(
            "{name} is recorded as protected, without an end. {look}; propagating it may need the holder's licence.", name=name, look=look
        )
    until = protection.until.isoformat()
    if today <= protection.until:
        return say(
            "{name} is recorded as protected until {until}. {look}; propagating it may need the holder's licence.",
            name=name,
            until=until,
            look=look,
        )
    return say(
        "The protection recorded for {name} ended on {until}. {look} before propagating it: it may hold longer there.",
        name=name,
        until=until,
        look=look,
    )
