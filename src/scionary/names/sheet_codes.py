"""Codes of printed sheets: S and five open characters, of which one is a check; no plant's code begins so or is so short."""

from __future__ import annotations

import operator

from scionary.errors import BadValue
from scionary.language import say
from scionary.names.codes import ALPHABET, FIELD

MARK = "S"
CARRIED = 4
SHEETS = FIELD**CARRIED
"""How many codes there are."""

_BETWEEN = str.maketrans("", "", " \t\r\n\N{NO-BREAK SPACE}-.·/")


def sheet_code_of(number: int) -> str:
    """Give the code of a sheet.

    Parameters
    ----------
    number : int
        0 to 279,840.

    Returns
    -------
    str
        `MARK`, four characters of the alphabet of plants' codes that carry the number, and a check character.

    Raises
    ------
    BadValue
        When the number is out of range or no whole number.
    """
    try:
        value = operator.index(number)
    except TypeError as error:
        raise BadValue("number", number, say("a whole number, 0 to {highest:,}", highest=SHEETS - 1)) from error
    if not 0 <= value < SHEETS:
        raise BadValue("number", number, say("0 to {highest:,}", highest=SHEETS - 1))
    symbols = []
    for _ in range(CARRIED):
        value, symbol = divmod(value, FIELD)
        symbols.append(symbol)
    return MARK + "".join(ALPHABET[symbol] for symbol in (*symbols, _check(symbols)))


def read_sheet_code(text: str) -> str:
    """Read a sheet's code as a person types it, or as its symbol says it.

    Parameters
    ----------
    text : str
        Upper or lower case; spaces, hyphens, dots and slashes between are left out. A 5 for the leading S and Z for 2 are forgiven.

    Returns
    -------
    str
        The code as `sheet_code_of` writes it.

    Raises
    ------
    BadValue
        When it is no code of a sheet: too short or long, a character that no code holds, or a check that disagrees. Any one wrong
        character and any two that changed places are noticed.
    """
    typed = text.translate(_BETWEEN).upper().replace("Z", "2")
    body = typed[1:] if typed[:1] in (MARK, "5") else ""
    if len(body) == CARRIED + 1 and all(character in ALPHABET for character in body):
        *carried, check = (ALPHABET.index(character) for character in body)
        if check == _check(carried):
            return MARK + body
    raise BadValue("code", text[:40], say("the code of a sheet, such as {sheet_grouped}", sheet_grouped=sheet_grouped(sheet_code_of(4321))))


def sheet_grouped(code: str) -> str:
    """Write a sheet's code in two groups of three.

    Parameters
    ----------
    code : str
        As `sheet_code_of` gives it.

    Returns
    -------
    str
        Such as ``SW5 A2K``.
    """
    return f"{code[:3]} {code[3:]}"


def _check(symbols: list[int]) -> int:
    """The symbol that makes the sum of place times symbol, the check at the fifth place, leave nothing modulo 23."""
    weighted = sum(place * symbol for place, symbol in enumerate(symbols, start=1))
    return -weighted * pow(CARRIED + 1, -1, FIELD) % FIELD
