"""What a cultivar looks like, as a grower sees it: a few traits with a few plain words each, and how often one is seen wrongly.

The choice of traits and words is ours and general (common practice, no source); what stands in a cultivar's table is what the person saw
on their own plants.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scionary.errors import BadValue
from scionary.language import Words, mark, say

Table = Mapping[str, str]


@dataclass(frozen=True)
class Trait:
    """One thing to look at.

    Attributes
    ----------
    key : str
        How it is kept and typed.
    words : str
        What it is called.
    look : str
        What to look at, as an instruction.
    values : mapping of str to str
        How each answer is kept, and the words for it.
    """

    key: str
    words: str
    look: str
    values: Mapping[str, str]


_COLOURS = Words(
    {
        "green": mark("green"),
        "yellow": mark("yellow"),
        "orange": mark("orange"),
        "pink": mark("pink"),
        "red": mark("bright red"),
        "dark": mark("dark red to purple"),
    }
)

TRAITS: tuple[Trait, ...] = (
    Trait(
        "lobes",
        mark("lobes of a leaf"),
        mark("Count the lobes of a full-grown leaf"),
        Words({"none": mark("none"), "3": "3", "5": "5", "7": "7", "9": mark("9 or more")}),
    ),
    Trait(
        "cut",
        mark("how deep it is cut"),
        mark("Look how deep a leaf is cut between its lobes"),
        Words(
            {
                "none": mark("not cut"),
                "shallow": mark("less than half-way"),
                "half": mark("about half-way"),
                "deep": mark("nearly to the stalk"),
            }
        ),
    ),
    Trait(
        "edge",
        mark("edge of the leaf"),
        mark("Look at the edge of a leaf"),
        Words({"smooth": mark("smooth"), "toothed": mark("toothed"), "lace": mark("cut like lace")}),
    ),
    Trait("spring", mark("colour in spring"), mark("Say its colour as it leafs out"), _COLOURS),
    Trait("summer", mark("colour in summer"), mark("Say the colour of a full-grown leaf in the light"), _COLOURS),
    Trait("autumn", mark("colour in autumn"), mark("Say its colour before the leaves fall"), _COLOURS),
    Trait(
        "pattern",
        mark("second colour"),
        mark("Look for a second colour on the leaf"),
        Words(
            {
                "none": mark("none"),
                "white": mark("white or cream"),
                "yellow": mark("yellow"),
                "pink": mark("pink"),
                "veins": mark("veins of another colour"),
            }
        ),
    ),
    Trait(
        "size",
        mark("size of a leaf"),
        mark("Lay a leaf on your hand"),
        Words({"small": mark("shorter than a thumb"), "middle": mark("a finger long"), "large": mark("as broad as a palm, or more")}),
    ),
    Trait(
        "habit",
        mark("how it grows"),
        mark("Stand back and look how it grows"),
        Words({"upright": mark("upright"), "spreading": mark("spreading"), "weeping": mark("hanging"), "dwarf": mark("small and dense")}),
    ),
)
BY_KEY = {trait.key: trait for trait in TRAITS}


def known_traits(table: Mapping[str, object]) -> dict[str, str]:
    """Keep of a table what is a trait with one of its answers.

    Parameters
    ----------
    table : mapping of str to object
        As a cultivar holds it; other entries are left out.

    Returns
    -------
    dict of str to str
        In the order of `TRAITS`.
    """
    return {trait.key: str(table[trait.key]) for trait in TRAITS if str(table.get(trait.key)) in trait.values}


def traits_words(table: Mapping[str, object]) -> str:
    """Say a table in one line: lobes of a leaf: 7; colour in spring: bright red.

    Parameters
    ----------
    table : mapping of str to object
        As a cultivar holds it.

    Returns
    -------
    str
        Empty when nothing is known.
    """
    return "; ".join(f"{say(BY_KEY[key].words)}: {BY_KEY[key].values[value]}" for key, value in known_traits(table).items())


def trait_tables(by_cultivar: Mapping[str, Mapping[str, object]], seen_right: float) -> dict[str, dict[str, dict[str, float]]]:
    """Turn what is written of cultivars into chances of what a person says of one of their plants.

    Parameters
    ----------
    by_cultivar : mapping
        Name of a cultivar to its table.
    seen_right : float
        Chance, between 0 and 1, that a person says what the table says: light, age of the leaf and the eye change it. Each other answer
        is as likely as any other.

    Returns
    -------
    dict
        Trait to cultivar to answer to chance, as `index_plants` takes it. A cultivar whose table lacks a trait is left out of it, and so
        counts as the average: neither for nor against it. A trait that no table holds is left out.

    Raises
    ------
    BadValue
        When `seen_right` is no chance.
    """
    if not 0.0 < seen_right < 1.0:
        raise BadValue("seen_right", seen_right, say("between 0 and 1, both left out"))
    found: dict[str, dict[str, dict[str, float]]] = {}
    for name, table in by_cultivar.items():
        for key, value in known_traits(table).items():
            values = BY_KEY[key].values
            other = (1.0 - seen_right) / (len(values) - 1)
            found.setdefault(key, {})[name] = {each: seen_right if each == value else other for each in values}
    return found
