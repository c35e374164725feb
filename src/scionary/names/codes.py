"""Codes on labels: seven characters that survive the loss of any two.

A code is a word of a shortened Reed-Solomon code over the prime field of 23 elements: five symbols carry the number, two are
checks. Any two codes differ in at least three places, so two characters that cannot be read are recovered exactly, and one or two
wrong ones are noticed.
"""

from __future__ import annotations

import operator
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import say

FIELD = 23
LENGTH, CARRIED = 7, 5
NUMBERS = 6_000_000
"""How many codes there are; the field's other 436,343 words stay unused, so that a random word is seldom a code."""

# Of each group that fades or is written alike at most one is in: none of 0 O Q D, none of 1 I L, 2 not Z, 5 not S, 8 not B, 6 not G,
# V not U, E not F. Measured (`tools/alphabet`): on typefaces that it was not chosen by, the best measured set has 7 % fewer misread
# characters; too few to change the alphabet, whose codes hang on labels.
ALPHABET = "23456789ACEHJKMNPRTVWXY"

# Multiplier and offset of the map that scatters consecutive numbers; the multiplier shares no factor with NUMBERS = 2^7 3 5^6.
_STEP, _START = 3_708_203, 1_234_567
_STEP_BACK = pow(_STEP, -1, NUMBERS)


def code_of(number: int) -> str:
    """Give the code of a number; consecutive numbers get codes that look nothing alike.

    Parameters
    ----------
    number : int
        0 to 5,999,999.

    Returns
    -------
    str
        Seven characters of `ALPHABET`.

    Raises
    ------
    BadValue
        When the number is out of range or no whole number.
    """
    try:
        value = operator.index(number)
    except TypeError as error:
        raise BadValue("number", number, say("a whole number, 0 to {highest:,}", highest=NUMBERS - 1)) from error
    if not 0 <= value < NUMBERS:
        raise BadValue("number", number, say("0 to {highest:,}", highest=NUMBERS - 1))
    rest, symbols = (value * _STEP + _START) % NUMBERS, []
    for _ in range(CARRIED):
        rest, symbol = divmod(rest, FIELD)
        symbols.append(symbol)
    return text_of(fill(symbols + [None] * (LENGTH - CARRIED)))


def symbols_of_numbers(numbers: npt.ArrayLike) -> npt.NDArray[np.uint8]:
    """Give the symbols of many numbers' codes at once.

    Parameters
    ----------
    numbers : array_like of int, shape (n,)
        0 to 5,999,999 each.

    Returns
    -------
    ndarray of uint8, shape (7, n)
        Field elements; each column is the code that `code_of` writes.

    Raises
    ------
    BadValue
        When a number is out of range.
    """
    values = np.asarray(numbers, dtype=np.int64)
    outside = (values < 0) | (values >= NUMBERS)
    if np.any(outside):
        place = int(np.argmax(outside))
        raise BadValue("number", int(values[place]), say("0 to {highest:,}", highest=NUMBERS - 1), index=place)
    rest = (values * _STEP + _START) % NUMBERS
    word = np.zeros((LENGTH, len(values)), dtype=np.uint8)
    checks = np.zeros((LENGTH - CARRIED, len(values)), dtype=np.int64)
    for place in range(CARRIED):
        rest, word[place] = np.divmod(rest, FIELD)
        unit = [int(place == other) for other in range(CARRIED)]
        checks += np.outer(fill([*unit, None, None])[CARRIED:], word[place])
    word[CARRIED:] = checks % FIELD
    return word


def grouped(code: str) -> str:
    """Write a code in two open groups, three and four, as it is read aloud.

    Parameters
    ----------
    code : str
        A code of seven characters; any other text stays as it is.

    Returns
    -------
    str
        Such as ``P8W ECYC``.
    """
    return f"{code[:3]} {code[3:]}" if len(code) == LENGTH else code


def number_of(code: str) -> int:
    """Give the number of a code that is whole and written as `code_of` writes it.

    Parameters
    ----------
    code : str
        Seven characters of `ALPHABET`; to read what a person wrote, use `read_code`.

    Returns
    -------
    int
        0 to 5,999,999.

    Raises
    ------
    BadValue
        When it is no code.
    """
    whole = isinstance(code, str) and len(code) == LENGTH and all(character in ALPHABET for character in code)
    number = number_of_symbols([ALPHABET.index(character) for character in code]) if whole else None
    if number is None:
        raise BadValue(
            "code", code, say("a code of {length} characters of {alphabet} whose check characters agree", length=LENGTH, alphabet=ALPHABET)
        )
    return number


def number_of_symbols(symbols: Sequence[int]) -> int | None:
    """Give the number that seven symbols carry.

    Parameters
    ----------
    symbols : sequence of int
        Seven field elements, 0 to 22.

    Returns
    -------
    int or None
        None when the checks disagree, or the word is one of those kept unused.
    """
    if syndromes(symbols) != (0, 0):
        return None
    scattered = sum(symbol * FIELD**place for place, symbol in enumerate(symbols[:CARRIED]))
    return (scattered - _START) * _STEP_BACK % NUMBERS if scattered < NUMBERS else None


def text_of(symbols: Sequence[int]) -> str:
    """Write symbols as characters.

    Parameters
    ----------
    symbols : sequence of int
        Field elements, 0 to 22.

    Returns
    -------
    str
        One character of `ALPHABET` each.
    """
    return "".join(ALPHABET[symbol] for symbol in symbols)


def syndromes(symbols: Sequence[int]) -> tuple[int, int]:
    """Give the two check sums of a word; both are zero for a code.

    Parameters
    ----------
    symbols : sequence of int
        Seven field elements, 0 to 22.

    Returns
    -------
    plain, weighted : int
        Sum of the symbols, and sum weighted by place (1 to 7), modulo 23. Any two columns of these equations are independent, so
        the code's minimum distance is three: Reed and Solomon (1960), generalised to these two powers.
    """
    return sum(symbols) % FIELD, sum(place * symbol for place, symbol in enumerate(symbols, start=1)) % FIELD


def fill(symbols: Sequence[int | None]) -> list[int]:
    """Solve the two check equations for one or two missing symbols.

    Parameters
    ----------
    symbols : sequence of int or None
        Seven field elements, at most two of them None.

    Returns
    -------
    list of int
        The whole word. With two missing it always fulfils both equations, with one or none missing the caller has to look.
    """
    holes = [place for place, symbol in enumerate(symbols) if symbol is None]
    word = [symbol or 0 for symbol in symbols]
    plain, weighted = syndromes(word)
    if len(holes) == 1:
        word[holes[0]] = -plain % FIELD
    elif holes:
        first, second = holes
        # a + b = -plain and (first + 1) a + (second + 1) b = -weighted
        word[second] = ((first + 1) * plain - weighted) * pow(second - first, -1, FIELD) % FIELD
        word[first] = (-plain - word[second]) % FIELD
    return word
