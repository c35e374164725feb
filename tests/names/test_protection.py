"""What is said about protected cultivars."""

from datetime import date

import pytest

from scionary.errors import BadValue
from scionary.names import Protection, protection_words

TODAY = date(2026, 11, 25)


def test_a_running_protection_asks_for_the_licence_and_the_register() -> None:
    words = protection_words(Protection("Red Tarn", date(2031, 5, 1), "the register of varieties"), TODAY)
    assert words == (
        "Red Tarn is recorded as protected until 2031-05-01. Check the register of varieties; propagating it may need the holder's licence."
    )


def test_the_last_day_still_counts() -> None:
    assert "until 2026-11-25" in protection_words(Protection("Red Tarn", TODAY), TODAY)
    assert "ended on 2026-11-24" in protection_words(Protection("Red Tarn", date(2026, 11, 24)), TODAY)


def test_an_ended_protection_gives_no_leave() -> None:
    words = protection_words(Protection("Red Tarn", date(2020, 1, 1)), TODAY)
    assert "Check the plant variety register of the country before propagating it" in words


def test_no_known_end_is_said() -> None:
    assert "without an end" in protection_words(Protection("Red Tarn"), TODAY)


@pytest.mark.parametrize(
    ("arguments", "message"), [(("",), "name is ''"), (("Red Tarn", "2031"), "until is '2031'"), (("Red Tarn", None, " "), "register_word")]
)
def test_what_no_sentence_can_be_made_of_is_refused(arguments: tuple[str, ...], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        Protection(*arguments)  # type: ignore[arg-type]
