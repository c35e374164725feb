"""Numbers are said as people say them."""

from scionary.answers.words import count_range, how_sure, listed, percent, percent_range, plural, read_whole, share_words


def test_a_share_near_zero_or_one_is_not_called_none_or_all() -> None:
    assert [percent(s) for s in (0, 0.001, 0.62, 0.999, 1)] == ["0 %", "under 1 %", "62 %", "over 99 %", "100 %"]


def test_the_ends_of_a_range_are_not_called_none_or_all_either() -> None:
    assert percent_range(0.3, 0.75) == "30 to 75 %"
    assert percent_range(0.001, 0.999) == "under 1 to over 99 %"
    assert percent_range(0, 1) == "0 to 100 %"


def test_a_count_has_its_range_unless_it_is_certain() -> None:
    assert count_range(5, 7, 9, 10) == "7 of 10; between 5 and 9"
    assert count_range(7, 7, 7, 10) == "7 of 10"


def test_an_assurance_is_said_in_years() -> None:
    assert how_sure(0.9) == "nine years in ten"
    assert how_sure(0.95) == "95 years in a hundred"


def test_long_lists_are_cut_with_how_many_more() -> None:
    assert listed(["a", "b"]) == "a and b"
    assert listed(["a"]) == "a"
    assert listed(list("abcdefgh"), most=3) == "a, b, c and 5 more"


def test_one_is_singular() -> None:
    assert [plural(1, "graft"), plural(2, "graft"), plural(2, "wish", "wishes")] == ["1 graft", "2 grafts", "2 wishes"]


def test_a_wide_range_is_said_to_say_little() -> None:
    assert share_words(0.21, 0.94) == "that says little"
    assert share_words(0.5, 0.6) == "that is worth something"


def test_whole_numbers_are_read_in_figures_and_in_words_up_to_twelve() -> None:
    assert [read_whole(text) for text in ("5", " Five ", "twelve", "a")] == [5, 5, 12, 1]
    assert [read_whole(text) for text in ("thirteen", "none", "", "5.5")] == [None] * 4
