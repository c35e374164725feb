"""Codes on labels."""

from itertools import combinations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.names import ALPHABET, NUMBERS, code_of, grouped, number_of
from scionary.names.codes import fill, syndromes

SAMPLE = [0, 1, NUMBERS - 1, *np.random.default_rng(4).integers(0, NUMBERS, size=2000).tolist()]


def distance(first, second):
    return sum(a != b for a, b in zip(first, second, strict=True))


def test_every_number_comes_back():
    assert [number_of(code_of(number)) for number in SAMPLE] == SAMPLE


def test_codes_are_seven_characters_of_an_alphabet_without_look_alikes():
    assert len(set(ALPHABET)) == len(ALPHABET) == 23
    assert not set(ALPHABET) & set("01ILOQDUZSBGF")
    for number in SAMPLE:
        assert len(code_of(number)) == 7
        assert set(code_of(number)) <= set(ALPHABET)


def test_a_code_is_written_in_groups_of_three_and_four():
    assert grouped("7KQ2M9X") == "7KQ 2M9X"
    assert grouped("short") == "short"


def test_numbers_in_a_row_get_codes_that_differ_nearly_everywhere():
    for start in SAMPLE[:50]:
        codes = [code_of((start + step) % NUMBERS) for step in range(40)]
        assert min(distance(codes[0], other) for other in codes[1:]) >= 5


def test_neighbouring_numbers_are_scattered_over_the_leading_character():
    # the fifth symbol is the most significant of those that carry the number
    fifth = [code_of(number)[4] for number in range(230)]
    assert len(set(fifth)) >= 20


def test_least_distance_is_three():
    # The code is linear: no word of weight one or two fulfils both equations. Every one of them is tried.
    for place in range(7):
        for value in range(1, 23):
            word = [0] * 7
            word[place] = value
            assert syndromes(word) != (0, 0)
    for first, second in combinations(range(7), 2):
        for one in range(1, 23):
            for other in range(1, 23):
                word = [0] * 7
                word[first], word[second] = one, other
                assert syndromes(word) != (0, 0)
    assert syndromes([1, 21, 1, 0, 0, 0, 0]) == (0, 0)  # weight three exists


def test_any_two_lost_symbols_are_solved_for():
    for number in SAMPLE[:300]:
        word = [ALPHABET.index(character) for character in code_of(number)]
        for holes in combinations(range(7), 2):
            assert fill([None if place in holes else symbol for place, symbol in enumerate(word)]) == word


def test_one_random_word_in_hundreds_is_a_code():
    rng = np.random.default_rng(6)
    words = ["".join(ALPHABET[symbol] for symbol in row) for row in rng.integers(0, 23, size=(20_000, 7))]
    valid = 0
    for word in words:
        try:
            number_of(word)
        except BadValue:
            continue
        valid += 1
    assert valid / 20_000 == pytest.approx(NUMBERS / 23**7, abs=0.001)


def test_words_kept_unused_are_no_codes():
    highest = fill([22, 22, 22, 22, 22, None, None])
    assert syndromes(highest) == (0, 0)
    with pytest.raises(BadValue, match="check characters agree"):
        number_of("".join(ALPHABET[symbol] for symbol in highest))


@pytest.mark.parametrize("number", [-1, NUMBERS, 1.5, "12", None])
def test_a_number_without_code_is_refused(number):
    with pytest.raises(BadValue, match=r"number is .*; allowed: .*0 to 5,999,999"):
        code_of(number)


@pytest.mark.parametrize("code", ["", "2222223", "I222222", "22222222", 7, None])
def test_what_is_no_code_has_no_number(code):
    with pytest.raises(BadValue, match=r"code is .*; allowed: a code of 7 characters"):
        number_of(code)
