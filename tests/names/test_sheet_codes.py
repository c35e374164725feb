"""Codes of printed sheets: no plant's code looks like one, and a slip of the finger is noticed."""

from __future__ import annotations

import pytest

from scionary.errors import BadValue
from scionary.names import ALPHABET, CodeStatus, read_code
from scionary.names.sheet_codes import MARK, SHEETS, read_sheet_code, sheet_code_of, sheet_grouped

SOME = [sheet_code_of(number) for number in (0, 1, 22, 23, 4321, 99_999, SHEETS - 1)]


def test_a_code_is_read_back_however_it_is_spaced_or_written() -> None:
    for code in SOME:
        for typed in (code, sheet_grouped(code), code.lower(), f" {code[:1]}-{code[1:]}. ", code.replace("2", "Z"), f"5{code[1:]}"):
            assert read_sheet_code(typed) == code


def test_every_number_has_a_code_of_its_own() -> None:
    assert len({sheet_code_of(number) for number in range(0, SHEETS, 7)}) == len(range(0, SHEETS, 7))


@pytest.mark.parametrize("code", SOME)
def test_any_one_wrong_character_is_noticed(code: str) -> None:
    for at in range(1, len(code)):
        for other in ALPHABET.replace(code[at], ""):
            with pytest.raises(BadValue, match="the code of a sheet"):
                read_sheet_code(code[:at] + other + code[at + 1 :])


@pytest.mark.parametrize("code", SOME)
def test_two_characters_that_changed_places_are_noticed(code: str) -> None:
    for one in range(1, len(code)):
        for other in range(one + 1, len(code)):
            typed = list(code)
            typed[one], typed[other] = code[other], code[one]
            if code[one] != code[other]:
                with pytest.raises(BadValue, match="the code of a sheet"):
                    read_sheet_code("".join(typed))


def test_no_sheet_is_taken_for_a_plant_and_no_plant_for_a_sheet() -> None:
    assert MARK not in ALPHABET
    assert {read_code(code).status for code in SOME} == {CodeStatus.REFUSED}
    with pytest.raises(BadValue):
        read_sheet_code("P8WECYC")


@pytest.mark.parametrize("typed", ["", "S", "SW5A2", "SW5A2KK", "SW5O2K", "S" * 200, "W5A2K", "S?5A2K"])
def test_what_is_no_code_is_refused(typed: str) -> None:
    with pytest.raises(BadValue, match="such as"):
        read_sheet_code(typed)


@pytest.mark.parametrize("number", [-1, SHEETS, 1.5, "7"])
def test_a_number_out_of_range_has_no_code(number: object) -> None:
    with pytest.raises(BadValue, match="number"):
        sheet_code_of(number)  # type: ignore[arg-type]
