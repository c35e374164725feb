"""What the Cultivated Plant Code asks of a cultivar's epithet, as warnings; nothing is refused, since a name on an old label is a fact.

International Code of Nomenclature for Cultivated Plants (ICNCP), 9th edition (2016). The Code's own text was not at hand: rules are
taken from two public summaries of that edition, named above each check: [A] the guide "Plant naming" for those who name new cultivars,
[B] "Summary of ICNCP rules and guidelines for grex and epithets" (2017); and [C] a summary of the 1995 edition for poplars (FAO). Numbers
of articles are from memory.
"""

from __future__ import annotations

import re
import unicodedata

from scionary.language import both, say

LONGEST_EPITHET = 30

# [B]: words that no epithet holds. [A] gives the date for the older ones, 1 January 1959; which words came later was not found.
_WORDS = {
    "cultivar", "form", "grex", "group", "hybrid", "improved", "maintenance", "mixture", "selection", "series", "sport", "strain",
    "transformed", "variety",
}  # fmt: skip
# terms of rank belong to the Latin part of a name, outside the quotes: ICNCP art. 14, from memory
_RANKS = {"cv", "cv.", "var.", "subsp.", "ssp.", "subvar.", "f.", "×"}
# [A], [B]: claims of merit, such as 'Earliest of All', 'Best of All', 'Longest Possible'; this list is the project's own
_CLAIMS = {"best", "finest", "greatest", "earliest", "longest", "largest", "biggest", "tallest", "hardiest", "strongest", "sweetest"}
# Latin adjectives that gardens know, and endings that few other words have; this list is the project's own
_LATIN = {
    "alba", "argentea", "aurea", "compacta", "elegans", "fastigiata", "glauca", "laciniata", "nana", "pendula", "purpurea", "repens",
    "robusta", "rubra", "sanguinea", "variegata", "viridis",
}  # fmt: skip
_LATIN_ENDING = re.compile(r"[a-z]{3,}(?:um|escens|oides|folia|iflora)")
# [C]: conjunctions and prepositions may begin small; this list is the project's own
_SMALL = {
    "a", "an", "and", "at", "by", "d'", "de", "del", "der", "des", "di", "du", "en", "et", "for", "from", "in", "la", "le", "les",
    "no", "of", "on", "or", "over", "the", "to", "und", "van", "von", "with", "y",
}  # fmt: skip


def epithet_warnings(epithet: str, genus: str = "", *, published: int | None = None) -> list[str]:
    """Say what in a cultivar's epithet departs from the Cultivated Plant Code.

    Parameters
    ----------
    epithet : str
        Without quotes.
    genus : str
        The genus it stands behind, where that is known.
    published : int, optional
        Year in which the name was first published. Rules that came later are left out; without it, all are looked at.

    Returns
    -------
    list of str
        One sentence each, with the article (its number from memory); empty when nothing was found. Form alone is looked at.
    """
    found = [*_shape(epithet), *_wording(epithet, genus)]
    if published is None or published >= 1959:
        found += _since_1959(epithet)
    if published is None or published >= 1996:
        found += _since_1996(epithet)
    return found


def _shape(epithet: str) -> list[str]:
    found = []
    words = epithet.split()
    letters = [character for character in epithet if character.isalpha()]
    # [B]: begins with a capital, unless custom of the language says otherwise or it begins with a numeral; ICNCP art. 21
    if epithet[0].islower():
        found.append(say("A cultivar's name begins with a capital; this one does not (ICNCP art. 21)."))
    # [C]: each word, but for conjunctions, prepositions and what follows a hyphen; ICNCP art. 21
    small = [word for word in words[1:] if word[0].islower() and word not in _SMALL and not word.startswith(("d'", "l'"))]
    if small:
        found.append(say("Words of a cultivar's name begin with capitals; {small} may not (ICNCP art. 21).", small=both(map(repr, small))))
    # [A]: not a single letter, not numerals alone; ICNCP art. 21
    if len(epithet) == 1 and letters:
        found.append(say("A single letter is no name for a cultivar (ICNCP art. 21)."))
    if not letters and any(character.isdigit() for character in epithet):
        found.append(say("Numerals alone are no name for a cultivar (ICNCP art. 21)."))
    # a trade designation is set apart by its type, such as capitals, and has no quotes: ICNCP art. 17, from memory
    if len(letters) > 3 and all(character.isupper() for character in letters):
        found.append(say("All capitals are the custom for selling names, which stand without quotes; not for cultivars (ICNCP art. 17)."))
    return found


def _wording(epithet: str, genus: str) -> list[str]:
    words = epithet.split()
    # ICNCP art. 14, from memory
    found = [say("{word!r} belongs to the Latin name, outside the quotes (ICNCP art. 14).", word=word) for word in words if word in _RANKS]
    # [B]: the genus is not said again; ICNCP art. 21
    if genus and genus.casefold() in (word.casefold() for word in words):
        found.append(say("A cultivar's name does not say {genus} again (ICNCP art. 21).", genus=genus))
    return found


def _since_1959(epithet: str) -> list[str]:
    plain = [word.strip(".,!").lower() for word in epithet.split()]
    # [A] for the date, [B] for the words; ICNCP art. 21
    found = [
        say("The rules keep the word {word!r} out of a cultivar's name given since 1959 (ICNCP art. 21).", word=word)
        for word, lower in zip(epithet.split(), plain, strict=True)
        if lower in _WORDS
    ]
    # [A]: not entirely Latin, unless the words are in use in another language; ICNCP art. 21
    if plain and all(word in _LATIN or _LATIN_ENDING.fullmatch(word) for word in plain):
        found.append(
            say(
                "{epithet!r} looks like Latin, which only names given before 1959 may be, or words in everyday use (ICNCP art. 21).",
                epithet=epithet,
            )
        )
    # [A]: no claims of merit; ICNCP art. 21
    if set(plain) & _CLAIMS or " ".join(plain).endswith("of all"):
        found.append(say("A name given since 1959 does not praise the plant above others (ICNCP art. 21)."))
    return found


def _since_1996(epithet: str) -> list[str]:
    found = []
    # [A]: 30 characters, spaces and quotes not counted; ICNCP art. 21
    if len(epithet.replace(" ", "")) > LONGEST_EPITHET:
        found.append(
            say(
                "A cultivar's name of more than {longest_epithet} characters is longer than the rules allow since 1996 (ICNCP art. 21).",
                longest_epithet=LONGEST_EPITHET,
            )
        )
    # [B]: apostrophe, comma, up to two exclamation marks that are not neighbours, full stop, hyphen and the two slashes; ICNCP art. 21
    odd = [character for character in dict.fromkeys(epithet) if not (character.isalpha() or character in " 0123456789'’,!.-/\\")]
    odd = [character for character in odd if not _is_accent(character)]
    if odd:
        found.append(say("The rules leave {odd} out of a cultivar's name since 1996 (ICNCP art. 21).", odd=" ".join(odd)))
    if epithet.count("!") > 2 or "!!" in epithet:
        found.append(say("Two exclamation marks, apart from each other, are the most that a cultivar's name may have (ICNCP art. 21)."))
    return found


def _is_accent(character: str) -> bool:
    return unicodedata.category(character).startswith("M")
