"""Which stocks carry which scions: a table that a person edits, and how it is read. Growers disagree; rows say so."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.language import mark
from scionary.union.methods import COMMON

_TALK = mark("growers in a botanical garden's public discussions of maples, 2007 to 2015 (weak)")
_CLASSES = mark("usual classification of maples; check it in a flora")
_NAMES = mark("general rule; common practice, no source")


class Verdict(StrEnum):
    """How stock and scion stand to one another."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    FAILS = "fails"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class CompatibilityRow:
    """One line of the table: names in small letters, of a species, a section (``acer sect. palmata``) or a genus.

    Attributes
    ----------
    stock, scion : str
        Whom it speaks of.
    verdict : Verdict
        What it says.
    source : str
        Where it is from.
    note : str
        More words, or none.
    """

    stock: str
    scion: str
    verdict: Verdict
    source: str = COMMON
    note: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        return {**vars(self), "verdict": self.verdict.value}


_G, _D, _F = Verdict.GOOD, Verdict.DOUBTFUL, Verdict.FAILS
COMPATIBILITY: tuple[CompatibilityRow, ...] = (
    CompatibilityRow(
        "acer sect. palmata", "acer sect. palmata", _G, _TALK, mark("seedlings of A. palmatum carry the other Japanese maples")
    ),
    CompatibilityRow("acer sect. platanoidea", "acer sect. platanoidea", _G, _TALK),
    CompatibilityRow("acer sect. platanoidea", "acer", _F, _TALK, mark("milky sap; only maples of its own section")),
    CompatibilityRow("acer", "acer sect. platanoidea", _F, _TALK, mark("milky sap; only stocks of its own section")),
    CompatibilityRow("acer pseudoplatanus", "acer", _D, _TALK, mark("called a stock for nearly all by some, lost after years by others")),
    CompatibilityRow("acer sect. macrantha", "acer sect. macrantha", _G),
    CompatibilityRow("acer sect. trifoliata", "acer sect. trifoliata", _G, _TALK),
    CompatibilityRow("acer rubrum", "acer rubrum", _D, COMMON, mark("named forms on seedlings may part after years")),
    CompatibilityRow("acer", "acer", _D, _TALK, mark("across sections: seldom lasts")),
    CompatibilityRow("hamamelis", "hamamelis", _G, COMMON, mark("suckers of H. virginiana must be rubbed off")),
    CompatibilityRow("fagus", "fagus", _G),
    CompatibilityRow("parrotia persica", "hamamelis", _D),
)
SECTIONS: dict[str, str] = {
    **dict.fromkeys(
        ("acer palmatum", "acer japonicum", "acer shirasawanum", "acer sieboldianum", "acer pseudosieboldianum", "acer circinatum",
         "acer oliverianum"), "acer sect. palmata",
    ),
    **dict.fromkeys(
        ("acer platanoides", "acer cappadocicum", "acer truncatum", "acer campestre", "acer miyabei", "acer pictum"),
        "acer sect. platanoidea",
    ),
    **dict.fromkeys(
        ("acer davidii", "acer pensylvanicum", "acer rufinerve", "acer capillipes", "acer tegmentosum"), "acer sect. macrantha",
    ),
    **dict.fromkeys(("acer griseum", "acer maximowiczianum", "acer triflorum"), "acer sect. trifoliata"),
    **dict.fromkeys(("acer rubrum", "acer saccharinum"), "acer sect. rubra"),
    **dict.fromkeys(("acer pseudoplatanus", "acer saccharum"), "acer sect. acer"),
}  # fmt: skip
SECTIONS_SOURCE = _CLASSES


def compatibility(
    stock: str, scion: str, rows: Sequence[CompatibilityRow] = COMPATIBILITY, sections: Mapping[str, str] = SECTIONS
) -> CompatibilityRow:
    """Look up whether a stock carries a scion.

    Parameters
    ----------
    stock, scion : str
        Botanical names, with or without a cultivar; an empty one is unknown.
    rows : sequence of CompatibilityRow
        The table; rows that a person or the book adds stand first, and the first of equally narrow ones is taken.
    sections : mapping
        Species to section.

    Returns
    -------
    CompatibilityRow
        The narrowest row that speaks of both: species before section before genus; without any, the same species is good,
        another genus fails, the rest is unknown.
    """
    below, above = _levels(stock, sections), _levels(scion, sections)
    if not (below and above):
        return CompatibilityRow(stock, scion, Verdict.UNKNOWN, _NAMES)
    found = [
        (below.index(row.stock) + above.index(row.scion), at, row)
        for at, row in enumerate(rows)
        if row.stock in below and row.scion in above
    ]
    if found and min(found)[0] == 0:
        return min(found)[2]
    if below[0] == above[0] and " " in below[0]:
        return CompatibilityRow(below[0], above[0], Verdict.GOOD, _NAMES, mark("the same species"))
    if found:
        return min(found)[2]
    verdict = Verdict.UNKNOWN if below[-1] == above[-1] else Verdict.FAILS
    return CompatibilityRow(below[-1], above[-1], verdict, _NAMES, "" if verdict is Verdict.UNKNOWN else mark("of different genera"))


def compatible_pairs(
    scions: Sequence[str],
    stocks: Sequence[str],
    rows: Sequence[CompatibilityRow] = COMPATIBILITY,
    sections: Mapping[str, str] = SECTIONS,
) -> npt.NDArray[np.bool_]:
    """Allow all pairs but those that the table says fail.

    Parameters
    ----------
    scions, stocks : sequence of str
        Botanical name of each; an empty one goes with everything.
    rows, sections
        As in `compatibility`.

    Returns
    -------
    ndarray of bool of shape (scions, stocks)
        For `match_stocks`.
    """
    names = {(stock, scion) for stock in set(stocks) for scion in set(scions)}
    fails = {pair for pair in names if compatibility(*pair, rows, sections).verdict is Verdict.FAILS}
    return np.array([[(stock, scion) not in fails for stock in stocks] for scion in scions], dtype=bool).reshape(len(scions), len(stocks))


def _levels(name: str, sections: Mapping[str, str]) -> list[str]:
    """Species, section and genus of a name, as far as they are known."""
    words = name.split("'")[0].split(",")[0].replace("×", " ").lower().split()
    if not words:
        return []
    species = " ".join(words[:2])
    known = [species, sections.get(species, ""), words[0]]
    return list(dict.fromkeys(level for level in known if level))
