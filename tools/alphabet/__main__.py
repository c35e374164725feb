"""`python -m alphabet FOLDER`: measure how often letters and digits are mistaken for one another, and choose an alphabet.

FOLDER holds the typefaces (default /usr/share/fonts). The result goes into `tools/alphabet/result.json`.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from alphabet.choosing import fewest_misread, forgiven, least, total
from alphabet.reading import Likeness, looked_at, misread, pair_errors, taken_for
from alphabet.writing import HANDS, SYMBOLS, found, written

RESULT = Path(__file__).with_name("result.json")
SIZE, SPLITS = 23, 8
SHARE = 0.5  # of all misreadings as one character, to forgive it as one symbol: project default, unsourced


def main(arguments: list[str]) -> int:
    """Measure, choose, compare with the alphabet in use, and store all of it."""
    parser = argparse.ArgumentParser(prog="alphabet", description="Measure which characters are mistaken for one another on worn labels.")
    parser.add_argument("folder", nargs="?", type=Path, default=Path("/usr/share/fonts"), help="where the typefaces are")
    parser.add_argument("--times", type=int, default=60, help="worn copies of each symbol in each typeface (default 60)")
    parser.add_argument("--seed", type=int, default=23)
    asked = parser.parse_args(arguments)
    files = found(asked.folder)
    seen = looked_at([written(files[hand.file]) for hand in HANDS], asked.times, asked.seed)
    result = {"times": asked.times, "seed": asked.seed} | measured(seen, asked.seed)
    RESULT.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    shown = {key: value for key, value in result.items() if key not in ("pair_errors", "taken_for")}
    print(json.dumps(shown, indent=1))
    return 0


def measured(seen: Likeness, seed: int) -> dict[str, Any]:
    """Everything that is stored."""
    from scionary.names import ALPHABET

    errors, taken = pair_errors(seen), taken_for(seen)
    best = least(errors, SIZE)
    alphabets = {"in use": ALPHABET, "least confusion": best.symbols, "fewest misread": fewest_misread(seen, best.symbols)}
    kinds = {"hand-like": [number for number, hand in enumerate(HANDS) if hand.by_hand]}
    kinds["plain"] = [number for number, hand in enumerate(HANDS) if not hand.by_hand]
    judged = halves(seen, ALPHABET, seed)
    return {
        "typefaces": [{"file": hand.file, "package": hand.package, "hand-like": hand.by_hand} for hand in HANDS],
        "symbols": SYMBOLS,
        "alphabets": alphabets,
        "confusion": {name: round(total(errors, symbols), 4) for name, symbols in alphabets.items()},
        "bound": round(best.bound, 4),
        "misread": {
            name: {"all": round(misread(seen, symbols), 4)}
            | {kind: round(misread(seen.of_hands(hands), symbols), 4) for kind, hands in kinds.items()}
            for name, symbols in alphabets.items()
        },
        "chosen by half of the typefaces": judged,
        "fewer misread by the other half": gain(judged),
        "look-alikes": {name: forgiven(taken, symbols, share=SHARE) for name, symbols in alphabets.items()},
        "pair_errors": rows(errors),
        "taken_for": rows(taken),
    }


def rows(table: npt.NDArray[np.float64]) -> list[str]:
    """A table with one line of text a row, so that the stored file stays readable."""
    return [" ".join(f"{value:.4f}" for value in row) for row in table]


def gain(judged: list[dict[str, Any]]) -> float:
    """How much smaller the share of misread characters is than with the alphabet in use, over all halves."""
    return round(1.0 - sum(one["misread"] for one in judged) / sum(one["misread in use"] for one in judged), 4)


def halves(seen: Likeness, in_use: str, seed: int) -> list[dict[str, Any]]:
    """Choose by one half of the typefaces and judge by the other, so that no alphabet is judged by what chose it."""
    rng, answer = np.random.default_rng(seed), []
    for _ in range(SPLITS):
        order = rng.permutation(len(HANDS))
        choosing, judging = seen.of_hands(order[: len(HANDS) // 2]), seen.of_hands(order[len(HANDS) // 2 :])
        chosen = fewest_misread(choosing, least(pair_errors(choosing), SIZE, seconds=30.0).symbols)
        answer.append(
            {
                "chosen": chosen,
                "misread": round(misread(judging, chosen), 4),
                "misread in use": round(misread(judging, in_use), 4),
            }
        )
    return answer


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
