"""Reading codes off faded labels."""

from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.names import ALPHABET, NUMBERS, CodeStatus, code_of, number_of, read_code

RNG = np.random.default_rng(12)
NUMBERS_ISSUED = RNG.choice(NUMBERS, size=400, replace=False).tolist()
NUMBERS_ISSUED_SET = set(NUMBERS_ISSUED)
CODES = [code_of(number) for number in NUMBERS_ISSUED]


def with_lost(code, places):
    return "".join("?" if place in places else character for place, character in enumerate(code))


def damaged(code, places):
    """Every damaged place gets a character that it did not have."""
    characters = list(code)
    for place in places:
        others = [character for character in ALPHABET if character != code[place]]
        characters[place] = others[RNG.integers(len(others))]
    return "".join(characters)


def test_a_clean_code_is_exact():
    reading = read_code(CODES[0])
    assert (reading.status, reading.code, reading.candidates, reading.issued) == (CodeStatus.EXACT, CODES[0], (CODES[0],), None)
    assert "read in full" in reading.words


def test_case_and_spacing_are_forgiven():
    code = CODES[0]
    for written in (code.lower(), f" {code[:3]}-{code[3:]} ", " ".join(code), f"{code[:4]}–{code[4:]}\n", f"{code[:2]}.{code[2:]}"):
        assert read_code(written).code == code


def test_wide_letters_are_read_as_plain_ones():
    wide = "".join(chr(ord(character) + 0xFEE0) for character in CODES[0])
    assert read_code(wide).code == CODES[0]


def test_any_one_or_two_lost_characters_are_recovered():
    for code in CODES[:40]:
        for count in (1, 2):
            for places in combinations(range(7), count):
                reading = read_code(with_lost(code, places))
                assert (reading.status, reading.code) == (CodeStatus.RECOVERED, code)


def test_one_or_two_wrong_characters_never_pass():
    for code in CODES:
        for places in [*combinations(range(7), 1), *combinations(range(7), 2)]:
            reading = read_code(damaged(code, places))
            assert reading.status in {CodeStatus.SUSPECT, CodeStatus.REFUSED}
            assert reading.code is None


def test_all_ways_to_have_one_or_two_wrong_are_noticed_on_one_code():
    code = CODES[7]
    for count in (1, 2):
        for places in combinations(range(7), count):
            others = [[character for character in ALPHABET if character != code[place]] for place in places]
            for wrong in product(*others):
                characters = list(code)
                for place, character in zip(places, wrong, strict=True):
                    characters[place] = character
                reading = read_code("".join(characters), NUMBERS_ISSUED_SET)
                assert reading.code is None
                assert reading.status in {CodeStatus.SUSPECT, CodeStatus.REFUSED}
                assert count == 2 or reading.candidates == (code,)


def test_one_wrong_character_is_offered_with_whether_a_plant_has_it():
    for code in CODES[:50]:
        for place in range(7):
            wrong = damaged(code, [place])
            assert read_code(wrong).candidates == (code,)
            assert read_code(wrong, CODES).issued is True
            unknown = read_code(wrong, ["2222222"])
            assert unknown.issued is False
            assert "no plant has it" in unknown.words


def test_swapped_neighbours_are_offered():
    code = next(code for code in CODES if code[2] != code[3])
    reading = read_code(code[:2] + code[3] + code[2] + code[4:])
    assert reading.status is CodeStatus.SUSPECT
    assert code in reading.candidates


def test_one_wrong_and_one_lost_is_noticed():
    for code in CODES:
        wrong = damaged(code, [2])
        assert read_code(with_lost(wrong, [5])).status is CodeStatus.REFUSED


@pytest.mark.parametrize(("alike", "meant"), [("Z", "2"), ("z", "2")])
def test_look_alikes_are_read_as_the_one_they_resemble_and_told(alike, meant):
    code = next(code for code in CODES if meant in code)
    reading = read_code(code.replace(meant, alike))
    assert (reading.status, reading.code) == (CodeStatus.EXACT, code)
    assert f"{alike.upper()} was read as {meant}" in reading.words


@pytest.mark.parametrize("stranger", ["0", "O", "l", "1", "Q", "G", "F", "S", "B", "U"])
def test_a_character_that_no_code_holds_counts_as_lost(stranger):
    reading = read_code(stranger + CODES[0][1:])
    assert (reading.status, reading.code) == (CodeStatus.RECOVERED, CODES[0])


def test_no_check_is_left_for_a_look_alike_beside_two_lost():
    code = next(code for code in CODES if "2" in code[2:])
    place = code.index("2", 2)
    written = with_lost(code[:place] + "Z" + code[place + 1 :], (0, 1))
    reading = read_code(written)
    assert (reading.status, reading.code, reading.candidates) == (CodeStatus.SUSPECT, None, (code,))


def test_two_lost_that_give_a_code_of_nobody_are_not_taken():
    code = CODES[0]
    reading = read_code(with_lost(code, (0, 6)), CODES[1:])
    assert (reading.status, reading.code, reading.issued) == (CodeStatus.SUSPECT, None, False)
    assert read_code(with_lost(code, (0, 6)), CODES).status is CodeStatus.RECOVERED


def test_an_exact_code_of_nobody_says_so():
    reading = read_code(CODES[0], set(CODES[1:]))
    assert (reading.status, reading.issued) == (CodeStatus.EXACT, False)
    assert "No plant has this code" in reading.words


def test_three_or_four_lost_give_the_issued_codes_that_fit():
    for code in CODES[:30]:
        for places in [(0, 1, 2), (1, 3, 4, 6)]:
            written = with_lost(code, places)
            reading = read_code(written, CODES)
            expected = sorted(other for other in CODES if all(other[i] == code[i] for i in range(7) if i not in places))
            assert (reading.status, reading.code) == (CodeStatus.SUSPECT, None)
            assert list(reading.candidates) == expected


def test_three_lost_without_the_book_are_refused_with_the_reason():
    reading = read_code(with_lost(CODES[0], (0, 1, 2)))
    assert reading.status is CodeStatus.REFUSED
    assert reading.words == "3 characters are lost: more than the two that the checks can give back."


def test_three_lost_that_fit_no_plant_are_refused():
    reading = read_code(with_lost(CODES[0], (0, 1, 2)), [])
    assert "no code that a plant has fits" in reading.words


def test_five_lost_say_too_little_whatever_the_book_holds():
    assert "5 characters are lost" in read_code("??" + CODES[0][2:4] + "???", CODES).words


def test_many_fitting_codes_are_counted_and_cut_short():
    stem = with_lost(code_of(0), (0, 1, 2, 3))
    fitting = []
    for first in ALPHABET:
        for second in ALPHABET:
            reading = read_code(first + second + "??" + code_of(0)[4:])
            fitting += [reading.code] if reading.code else []
    reading = read_code(stem, fitting)
    assert len(fitting) > 20
    assert len(reading.candidates) == 20
    assert f"the first 20 of {len(fitting)}" in reading.words


def test_issued_may_be_numbers():
    assert read_code(CODES[0], set(NUMBERS_ISSUED)).issued is True
    assert read_code(code_of(5), set(NUMBERS_ISSUED) - {5}).issued is False
    assert CODES[3] in read_code(with_lost(CODES[3], (0, 1, 2)), NUMBERS_ISSUED).candidates


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("", "this has 0"),
        ("ABC", "this has 3"),
        ("22222222", "this has 8"),
        ("2222#22", "'#' is neither"),
        ("22222٣2", "is neither"),
        ("\u202e2222222", "is neither"),
        ("2" * 5000, "this has 200"),
    ],
)
def test_what_cannot_be_a_code_is_refused_with_a_remedy(written, words):
    reading = read_code(written)
    assert reading.status is CodeStatus.REFUSED
    assert words in reading.words
    assert "Write ?" in reading.words


def test_what_is_no_text_is_an_error():
    with pytest.raises(BadValue, match="text is 1234567; allowed: a code as text"):
        read_code(1234567)


@given(st.text(max_size=12))
def test_any_text_gets_a_reading(text):
    reading = read_code(text, CODES[:5])
    assert reading.words
    if reading.code:
        assert code_of(number_of(reading.code)) == reading.code
