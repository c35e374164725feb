"""Columns cut out of bytes: the same as line by line, whatever the lines look like and wherever a block ends."""

from datetime import UTC, datetime

import numpy as np
import pytest

from scionary.files.logger_blocks import body_of, head_lines, plain_text, read_rows
from scionary.files.logger_columns import find_layout
from scionary.files.loggers import read_logger
from scionary.files.problems import ProblemList
from scionary.files.stamps import local_seconds

WORDS = {"": np.nan, "Error": np.nan, "20.5 °C": 20.5, "-3": -3.0, "+4.25": 4.25, ".5": 0.5, "7.": 7.0, "1e1": 10.0, "--": np.nan}


def made(rng, rows, delimiter):
    """A file of many shapes of lines, and what it means."""
    lines, meant = ["Nr;When;Temp;RH;End".replace(";", delimiter)], []
    for row in range(rows):
        when = datetime(2025, 2, 1, tzinfo=UTC).timestamp() + 60 * row
        written = datetime.fromtimestamp(when, UTC).strftime(("%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M")[row % 3 == 1])
        cells = [str(row), written]
        values = []
        for low, high in ((-9, 40), (10, 100)):
            value = round(rng.uniform(low, high), int(rng.integers(0, 4)))
            text = f"{value:g}"
            if rng.random() < 0.15:
                text, value = list(WORDS.items())[int(rng.integers(len(WORDS)))]
            elif delimiter != "," and rng.random() < 0.3:
                text = text.replace(".", ",")
            if rng.random() < 0.2:
                text = f'"{text}"'
            elif rng.random() < 0.2:
                text = f" {text}  "
            cells.append(text)
            values.append(value)
        if rng.random() < 0.05:
            cells = cells[:2]  # too short: left out
        else:
            meant.append((when, *values))
        cells += ["", "x"][: int(rng.choice([1, 1, 1, 2]))] if len(cells) == 4 else []
        lines.append(delimiter.join(cells))
        if rng.random() < 0.03:
            lines.append("")
    return "\n".join(lines), np.array(meant)


def rows_of(text, block_bytes=2_000_000):
    data, _ = plain_text(text.encode(), name="made", limit_bytes=10**7)
    body = body_of(data, find_layout(head_lines(data), name="made"))
    problems = ProblemList(shown=10**6)
    rows = read_rows(body, problems, block_bytes=block_bytes)
    return np.column_stack([local_seconds(rows.stamps, "dmy"), rows.temperature, rows.humidity]), rows, problems


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("seed", range(4))
def test_every_line_is_read_as_it_was_meant(seed, delimiter):
    text, meant = made(np.random.default_rng(seed), 300, delimiter)
    found, rows, problems = rows_of(text)
    np.testing.assert_array_equal(found, meant)
    assert (np.diff(rows.lines) > 0).all()
    lines = text.split("\n")
    assert all(problem.text.split("°")[0].strip() in lines[problem.line - 1] for problem in problems.kept)


@pytest.mark.parametrize("block_bytes", [1, 40, 333, 5000])
def test_where_a_block_ends_changes_nothing(block_bytes):
    text, meant = made(np.random.default_rng(11), 200, ";")
    found, rows, problems = rows_of(text + "\n\n \n", block_bytes)
    _, whole, all_problems = rows_of(text)
    np.testing.assert_array_equal(found, meant)
    np.testing.assert_array_equal(rows.lines, whole.lines)
    assert sorted((p.line, p.what) for p in problems.kept) == sorted((p.line, p.what) for p in all_problems.kept)


def test_numbers_are_exact_to_the_last_bit():
    numbers = [f"{value:.3f}" for value in np.random.default_rng(5).uniform(-40, 60, 2000)]
    text = "Time,Temp,RH\n" + "\n".join(f"2025-02-01 {i // 60 % 24:02d}:{i % 60:02d},{n},50" for i, n in enumerate(numbers))
    assert rows_of(text)[0][:, 1].tolist() == [float(number) for number in numbers]


def test_a_place_in_the_file_says_what_was_written_there():
    text, _ = made(np.random.default_rng(2), 50, ";")
    data, _ = plain_text(text.encode(), name="made", limit_bytes=10**7)
    body = body_of(data, find_layout(head_lines(data), name="made"))
    rows = read_rows(body, ProblemList(), block_bytes=100)
    lines = text.split("\n")
    assert [body.written(int(start)) for start in rows.starts] == [lines[line - 1].split(";")[1] for line in rows.lines]


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_encodings_and_line_ends_change_nothing(ends, encoding):
    text = "Zeit;Temp. °C;Feuchte %\n" + "\n".join(f"{1 + i:02d}. März 2025 10:00;20,{i};9{i}" for i in range(9)) + "\n"
    log = read_logger(text.replace("\n", ends).encode(encoding), name="made", time_zone="UTC")
    assert log.temperature_c.tolist() == [20 + i / 10 for i in range(9)]
    assert np.diff(log.time_s).tolist() == [86400.0] * 8
    assert log.understood.unit == "C"


def test_two_columns_of_unequal_texts_are_one_moment():
    text = "Date,Time,Temp,RH\n" + "\n".join(f"{d}/3/2025,{h}:05,20.5,90" for d in (9, 10, 13) for h in (8, 9, 10, 11)) + "\n"
    log = read_logger(text.encode(), name="made", time_zone="UTC")
    assert [datetime.fromtimestamp(at, UTC).strftime("%d %H:%M") for at in log.time_s[[0, 3, 4, 11]]] == [
        "09 08:05",
        "09 11:05",
        "10 08:05",
        "13 11:05",
    ]
