"""Text that fits its place, and letters that the fonts have."""

from __future__ import annotations

from scionary.files.paper import BOLD, PLAIN, Block, fit, missing_letters, printable, text_width


def widths(block: Block) -> list[float]:
    """Width of every line."""
    return [sum(text_width(text, font, block.size) for text, font in line) for line in block.lines]


def words(block: Block) -> list[str]:
    """Text of every line."""
    return ["".join(text for text, _ in line) for line in block.lines]


def test_short_text_is_set_at_the_largest_size() -> None:
    block = fit([("Red Tarn 1", BOLD)], 500, 100, largest=20, smallest=6)
    assert (block.size, words(block), block.cut) == (20, ["Red Tarn 1"], False)


def test_long_text_shrinks_and_breaks_and_stays_inside() -> None:
    block = fit([("A rather long name for a small maple", BOLD)], 120, 40, largest=20, smallest=6)
    assert len(block.lines) == 2
    assert 6 < block.size < 20
    assert max(widths(block)) <= 120
    assert block.height <= 40
    assert " ".join(words(block)) == "A rather long name for a small maple"


def test_text_that_never_fits_is_cut_with_an_ellipsis() -> None:
    block = fit([("word " * 100, PLAIN)], 100, 20, largest=12, smallest=8)
    assert block.cut
    assert words(block)[-1].endswith("…")
    assert max(widths(block)) <= 100


def test_word_wider_than_the_line_is_split() -> None:
    block = fit([("W" * 40, PLAIN)], 100, 40, largest=8, smallest=6)
    assert max(widths(block)) <= 100


def test_space_between_runs_of_two_fonts_is_kept() -> None:
    block = fit([("Caution: ", BOLD), ("stop when tired", PLAIN)], 500, 20, largest=9, smallest=6)
    assert words(block) == ["Caution: stop when tired"]


def test_letters_without_a_glyph_are_named_and_printed_as_question_marks() -> None:
    assert missing_letters(["Acer × Ärger", "樹 tree 樹"]) == "樹"
    assert printable(" two\n lines 樹 ") == "two lines ?"
