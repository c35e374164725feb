"""How often a code that lost three or four characters is still the only one that fits, among the codes that plants have.

python benchmarks/code_survival.py            prints the table
python benchmarks/code_survival.py --write    also puts it between its marks in docs/codes.md
"""

from __future__ import annotations

import sys
from itertools import combinations
from math import lgamma
from pathlib import Path

import numpy as np
import numpy.typing as npt

from scionary.names import NUMBERS, code_of
from scionary.names.codes import CARRIED, FIELD, LENGTH

PAGE = Path(__file__).resolve().parent.parent / "docs" / "codes.md"
START, END = "<!-- survival: begin -->", "<!-- survival: end -->"
SIZES, LOST, SEEDS = (1_000, 10_000, 100_000), (3, 4), range(5)

Symbols = npt.NDArray[np.int64]


def symbols_of(numbers: npt.ArrayLike) -> Symbols:
    """The codes of numbers as rows of seven character codes."""
    text = "".join(code_of(int(number)) for number in np.asarray(numbers))
    return np.frombuffer(text.encode("ascii"), dtype=np.uint8).reshape(-1, LENGTH).astype(np.int64)


def unique_share(symbols: Symbols, lost: int) -> float:
    """Share of codes that no other of the set fits, over every choice of places that are lost."""
    alone = 0
    patterns = list(combinations(range(LENGTH), LENGTH - lost))
    for kept in patterns:
        keys = symbols[:, kept] @ 128 ** np.arange(len(kept))
        _, counts = np.unique(keys, return_counts=True)
        alone += int(np.count_nonzero(counts == 1))
    return alone / (len(patterns) * len(symbols))


def expected_share(issued: int, lost: int) -> float:
    """The same for a random set, by formula.

    In a code of distance three with five carried symbols any five places determine the word, so FIELD ** (lost - 2) words fit what is left.
    The share is the chance that none of the other issued codes, drawn without repeats, is among these. The words that are kept unused
    are those with the highest fifth symbols: when that symbol is read, all words that fit are in use, and when it is lost, their share is.
    """
    fitting = FIELD ** (lost - 2)
    when_read = _none_drawn(fitting - 1, issued - 1)
    when_lost = _none_drawn(fitting * NUMBERS / FIELD**CARRIED - 1, issued - 1)
    return (1 - lost / LENGTH) * when_read + lost / LENGTH * when_lost


def _none_drawn(marked: float, drawn: int) -> float:
    """Chance that of so many numbers drawn, without repeats and beside one's own, none is marked."""
    free = NUMBERS - 1
    return float(np.exp(lgamma(free - marked + 1) - lgamma(free - marked - drawn + 1) - lgamma(free + 1) + lgamma(free - drawn + 1)))


def random_set(issued: int, seed: int) -> npt.NDArray[np.int64]:
    """Numbers drawn without repeats."""
    return np.random.default_rng(seed).choice(NUMBERS, size=issued, replace=False)


def table() -> str:
    """Measured and expected shares, in percent."""
    lines = [
        "| codes issued | lost | random numbers: least to most of five sets | consecutive numbers | formula |",
        "|--:|--:|--:|--:|--:|",
    ]
    for issued in SIZES:
        sets = [symbols_of(random_set(issued, seed)) for seed in SEEDS]
        row = symbols_of(np.arange(issued))
        for lost in LOST:
            shares = [unique_share(one, lost) for one in sets]
            cells = f"{min(shares):.2%} to {max(shares):.2%} | {unique_share(row, lost):.2%} | {expected_share(issued, lost):.2%}"
            lines.append(f"| {issued:,} | {lost} | {cells} |".replace("%", " %"))
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    """Print the table, and write it into the page when asked."""
    text = table()
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
