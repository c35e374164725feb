"""A reader that is no part of the program: it knows worn characters, but never the hand that it reads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from alphabet.writing import SIDE, SYMBOLS, Grey, worn

Float = npt.NDArray[np.float64]
GRID, DIRECTIONS = 8, 4
SHRINKING = 0.1  # of the pooled covariance towards its mean variance


@dataclass(frozen=True)
class Likeness:
    """How like each symbol every worn character is: `closeness` (characters, 36), what was `truth`, and in which `hand`."""

    closeness: Float
    truth: npt.NDArray[np.int64]
    hand: npt.NDArray[np.int64]

    def of_hands(self, hands: npt.ArrayLike) -> Likeness:
        """The characters that were written in some of the hands."""
        keep = np.isin(self.hand, hands)
        return Likeness(self.closeness[keep], self.truth[keep], self.hand[keep])


def looked_at(clean: list[Grey], times: int, seed: int) -> Likeness:
    """Wear every symbol of every hand, and judge each by a linear discriminant learned from all other hands."""
    rng = np.random.default_rng(seed)
    strokes = np.stack([[[_strokes(worn(symbol, rng)) for _ in range(times)] for symbol in hand] for hand in clean])
    hands, symbols, _, size = strokes.shape
    means = strokes.mean(axis=2)  # hands, symbols, size
    products = np.stack([hand.reshape(-1, size).T @ hand.reshape(-1, size) for hand in strokes])
    closeness = []
    for number in range(hands):
        others = np.delete(np.arange(hands), number)
        centres = means[others].mean(axis=0)
        spread = products[others].sum(axis=0) / (len(others) * symbols * times) - centres.T @ centres / symbols
        spread = (1.0 - SHRINKING) * spread + SHRINKING * np.trace(spread) / size * np.eye(size)
        weights = np.linalg.solve(spread, centres.T)
        closeness.append(strokes[number].reshape(-1, size) @ weights - 0.5 * np.einsum("sp,ps->s", centres, weights))
    truth = np.tile(np.repeat(np.arange(symbols), times), hands)
    return Likeness(np.concatenate(closeness), truth, np.repeat(np.arange(hands), symbols * times))


def _strokes(character: Grey) -> Float:
    """How much stroke edge of each of four directions lies in each cell of an 8 by 8 grid, after evening out size and place."""
    inked = np.clip(ndimage.gaussian_filter(character, 1.0), 0.0, None)
    inked = np.clip(inked - 0.25 * inked.max(), 0.0, None)
    even = _evened(inked / max(float(inked.max()), 1e-6))
    down, across = np.gradient(even)
    angle, strength = np.arctan2(down, across) % np.pi, np.hypot(down, across)
    cells = []
    for direction in range(DIRECTIONS):
        away = np.abs((angle - direction * np.pi / DIRECTIONS + np.pi / 2) % np.pi - np.pi / 2)
        edge = strength * np.clip(1.0 - away * DIRECTIONS / np.pi, 0.0, None)
        cells.append(ndimage.gaussian_filter(edge, 2.5)[2 : SIDE : SIDE // GRID, 2 : SIDE : SIDE // GRID])
    found = np.sqrt(np.clip(np.stack(cells), 0.0, None)).ravel()
    return np.asarray(found / max(float(np.linalg.norm(found)), 1e-6), dtype=np.float64)


def _evened(inked: Grey) -> Grey:
    """Centre of ink in the middle, its height made one size, its width halfway there (I stays narrower than M)."""
    weight = max(float(inked.sum()), 1e-6)
    rows, columns = np.arange(SIDE), np.arange(SIDE)
    by_row, by_column = inked.sum(axis=1) / weight, inked.sum(axis=0) / weight
    centre = np.array([by_row @ rows, by_column @ columns])
    tall = max(float(np.sqrt(by_row @ (rows - centre[0]) ** 2)), 1.0)
    wide = max(float(np.sqrt(by_column @ (columns - centre[1]) ** 2)), 1.0)
    scale = np.array([tall / 9.0, np.sqrt(wide / tall) * tall / 9.0])
    middle = np.full(2, (SIDE - 1) / 2)
    return np.asarray(ndimage.affine_transform(inked, scale, offset=centre - scale * middle, order=1), dtype=np.float32)


def pair_errors(seen: Likeness) -> Float:
    """Share of characters of the row's symbol that are more like the column's: what a choice between these two alone gets wrong."""
    own = np.take_along_axis(seen.closeness, seen.truth[:, None], axis=1)
    worse = seen.closeness > own
    return np.stack([worse[seen.truth == symbol].mean(axis=0) for symbol in range(len(SYMBOLS))])


def misread(seen: Likeness, chosen: str) -> float:
    """Share of an alphabet's characters that a reader who expects this alphabet alone gets wrong."""
    members = np.array([SYMBOLS.index(symbol) for symbol in chosen])
    written = np.isin(seen.truth, members)
    read = members[np.argmax(seen.closeness[written][:, members], axis=1)]
    return float(np.mean(read != seen.truth[written]))


def taken_for(seen: Likeness) -> Float:
    """Share of the row's symbol that is read as the column's, by a reader who expects all letters and digits."""
    read = np.argmax(seen.closeness, axis=1)
    table = np.zeros((len(SYMBOLS), len(SYMBOLS)))
    np.add.at(table, (seen.truth, read), 1.0)
    return np.asarray(table / table.sum(axis=1, keepdims=True))
