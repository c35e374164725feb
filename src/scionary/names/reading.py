"""Reading a code that a person copied from a faded label."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

from scionary.errors import BadValue
from scionary.language import both, mark, say
from scionary.names.codes import ALPHABET, LENGTH, code_of, fill, grouped, number_of_symbols, syndromes, text_of

LOOK_ALIKES = {"Z": "2"}
"""Characters outside the alphabet that are, more often than not, one certain symbol of it misread: measured in `tools/alphabet`.

Other letters and digits outside it count as unreadable, which is safer: what is lost follows from the checks.
"""

_BETWEEN = " -‐‑‒–—_.·/"
_MOST_LOST = 4
_MOST_SHOWN = 20
_LONGEST = 200

Symbols = list[int | None]


class CodeStatus(StrEnum):
    """How far a reading can be relied on."""

    EXACT = "exact"
    RECOVERED = "recovered"
    SUSPECT = "suspect"
    REFUSED = "refused"


@dataclass(frozen=True)
class CodeReading:
    """What was made of a written code.

    Attributes
    ----------
    text : str
        What was written.
    status : CodeStatus
        EXACT: every character was read and the checks agree. RECOVERED: what was missing follows from the checks. SUSPECT: only
        `candidates`, for a person to confirm. REFUSED: nothing to offer.
    code : str or None
        The code, for EXACT and RECOVERED alone.
    candidates : tuple of str
        Codes that it may be; the code itself for EXACT and RECOVERED.
    issued : bool or None
        Whether a plant has the code (for SUSPECT: any of the candidates); None when that was not asked.
    words : str
        One sentence for the person.
    """

    text: str
    status: CodeStatus
    code: str | None
    candidates: tuple[str, ...]
    issued: bool | None
    words: str


def read_code(text: str, issued: Collection[str] | Collection[int] | None = None) -> CodeReading:
    """Read a code; never guess silently.

    Parameters
    ----------
    text : str
        Seven characters in either case; spaces, hyphens, dots and slashes between them are ignored, ``?`` stands for a character
        that cannot be read. Up to two are recovered. A letter or digit that no code holds counts as ``?``, except those of
        `LOOK_ALIKES`.
    issued : collection of str or of int, optional
        Codes, or numbers, that plants have; a set is quickest. With it, three or four ``?`` give the issued codes that fit, and
        an answer says whether a plant has the code.

    Returns
    -------
    CodeReading
        With `status`, `code`, `candidates` and a sentence. One or two wrong characters never pass as exact; a code that is one
        change (or one swap of neighbours) away is offered, never taken.

    Raises
    ------
    BadValue
        When `text` is no text; a text that is no code is answered with REFUSED.
    """
    if not isinstance(text, str):
        raise BadValue("text", text, say("a code as text"))
    symbols, replaced, problem = written_symbols(text)
    known = None if issued is None else _Issued(issued)
    if problem:
        return _refused(text, problem)
    lost = symbols.count(None)
    if lost > 2:
        return _many_lost(text, symbols, known)
    word = fill(symbols)
    if number_of_symbols(word) is None:
        return _checks_disagree(text, symbols, known)
    code = text_of(word)
    has = known.holds(code) if known else None
    if lost == 2 and (has is False or replaced):
        doubt = say("no plant has that code") if has is False else say("{replaced}, and no check is left", replaced=replaced)
        return _suspect(
            text,
            (code,),
            has,
            say("With two characters lost it would be {grouped}, but {doubt}: look again.", grouped=grouped(code), doubt=doubt),
        )
    status = CodeStatus.RECOVERED if lost else CodeStatus.EXACT
    text = mark("{code}: what was lost follows from the rest.") if lost else mark("{code}: read in full, the check characters agree.")
    words = say(text, code=grouped(code))
    if replaced:
        words += f" {replaced[0].upper()}{replaced[1:]}."
    if has is False:
        words += say(" No plant has this code.")
    return CodeReading(text, status, code, (code,), has, words)


def written_symbols(text: str) -> tuple[Symbols, str, str]:
    """Take a written code apart.

    Parameters
    ----------
    text : str
        As for `read_code`.

    Returns
    -------
    symbols : list of int or None
        Seven field elements, None where lost; empty when it is no code.
    replaced, problem : str
        What was replaced in words, and what makes it no code at all; empty when there is nothing to say.
    """
    symbols: Symbols = []
    replaced = []
    for written in unicodedata.normalize("NFKC", text[:_LONGEST]):
        if written.isspace() or written in _BETWEEN:
            continue
        character = written.upper() if written.isascii() else written
        meant = LOOK_ALIKES.get(character, character)
        if meant in ALPHABET:
            symbols.append(ALPHABET.index(meant))
            replaced += [say("{character} was read as {meant}", character=character, meant=meant)] if meant != character else []
        elif character == "?" or (written.isascii() and written.isalnum()):
            symbols.append(None)
        else:
            return (
                [],
                "",
                say(
                    "A code holds letters and digits only; {character!a} is neither. Write ? for what cannot be read.", character=character
                ),
            )
    if len(symbols) != LENGTH:
        return (
            [],
            "",
            say(
                "A code has {length} characters; this has {symbols}. Write ? for each one that cannot be read.",
                length=LENGTH,
                symbols=len(symbols),
            ),
        )
    return symbols, ", ".join(dict.fromkeys(replaced)), ""


def _many_lost(text: str, symbols: Symbols, known: _Issued | None) -> CodeReading:
    lost = symbols.count(None)
    if lost > _MOST_LOST:
        return _refused(
            text, say("{lost} characters are lost; with more than {most_lost} the rest says too little.", lost=lost, most_lost=_MOST_LOST)
        )
    if known is None:
        return _refused(text, say("{lost} characters are lost: more than the two that the checks can give back.", lost=lost))
    found = known.fitting(symbols)
    if not found:
        return _refused(text, say("{lost} characters are lost, and no code that a plant has fits the rest.", lost=lost))
    more = say(" (the first {most_shown} of {found})", most_shown=_MOST_SHOWN, found=len(found)) if len(found) > _MOST_SHOWN else ""
    those = say("One code") if len(found) == 1 else say("{found} codes", found=len(found))
    verb = "fits" if len(found) == 1 else "fit"
    return _suspect(
        text,
        tuple(found[:_MOST_SHOWN]),
        True,
        say("{those} that plants have {verb} what is left{more}: compare with the plant.", those=those, verb=verb, more=more),
    )


def _checks_disagree(text: str, symbols: Symbols, known: _Issued | None) -> CodeReading:
    start = say("The check characters do not agree: something was read wrong.")
    lost = symbols.count(None)
    if lost == 2:
        return _refused(text, say("Filled in from the checks, this is none of the codes in use: something was read wrong."))
    words = [] if lost else _neighbours([symbol for symbol in symbols if symbol is not None])
    candidates = tuple(text_of(word) for word in words)
    if not candidates:
        return _refused(text, say("{start} Look again, and write ? for what is not certain.", start=start))
    near = say("{start} One change away: {codes}", start=start, codes=", ".join(grouped(code) for code in candidates))
    if known is None:
        return _suspect(text, candidates, None, say("{near}. Compare with the label.", near=near))
    has = [grouped(code) for code in candidates if known.holds(code)]
    verdict = say("a plant has {codes}", codes=both(has)) if has else say("no plant has it")
    return _suspect(text, candidates, bool(has), say("{near}; {verdict}. Compare with the label.", near=near, verdict=verdict))


def _neighbours(word: Sequence[int]) -> list[list[int]]:
    """Codes that one changed character, or two neighbours swapped, would explain."""
    plain, weighted = syndromes(word)
    tries = []
    for place in range(LENGTH):
        if plain and (place + 1) * plain % len(ALPHABET) == weighted:
            tries.append([*word[:place], (word[place] - plain) % len(ALPHABET), *word[place + 1 :]])
        if not plain and place + 1 < LENGTH:
            tries.append([*word[:place], word[place + 1], word[place], *word[place + 2 :]])
    return [attempt for attempt in tries if number_of_symbols(attempt) is not None]


class _Issued:
    """The codes that plants have, given as codes or as numbers."""

    def __init__(self, issued: Collection[str] | Collection[int]) -> None:
        self._given = issued
        self._numbers = not isinstance(next(iter(issued), ""), str)

    def holds(self, code: str) -> bool:
        key = number_of_symbols([ALPHABET.index(character) for character in code]) if self._numbers else code
        return key in self._given

    def fitting(self, symbols: Symbols) -> list[str]:
        """Codes that agree with every character that was read, in order."""
        read = [(place, ALPHABET[symbol]) for place, symbol in enumerate(symbols) if symbol is not None]
        codes = (item if isinstance(item, str) else code_of(item) for item in self._given)
        return sorted(code for code in codes if all(code[place] == character for place, character in read))


def _refused(text: str, words: str) -> CodeReading:
    return CodeReading(text, CodeStatus.REFUSED, None, (), None, words)


def _suspect(text: str, candidates: tuple[str, ...], issued: bool | None, words: str) -> CodeReading:
    return CodeReading(text, CodeStatus.SUSPECT, None, candidates, issued, words)
