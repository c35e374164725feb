"""What is supposed of takes before any record is seen, where a person can see it and change it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from scionary.errors import BadValue
from scionary.language import say

PASSING = ("season", "day", "dome", "lot")


@dataclass(frozen=True)
class TakePriors:
    """Priors of the mixed model, all in log odds (project defaults, unsourced; the mean is what growers tell).

    Attributes
    ----------
    intercept_mean, intercept_sd : float
        Normal prior of the log odds at reference conditions; 0.5 and 1 mean 24 to 90 % in nine cases of ten.
    slope_sd : float
        Standard deviation of a covariate's slope, for one standard deviation of the covariate; its mean is 0.
    scale : mapping of str to float
        Scale of the half-normal prior of each factor's standard deviation.
    other_scale : float
        The same for factors that `scale` does not name.
    passing : tuple of str
        Factors whose levels come new each time: a coming season, day, dome filling or stock lot is none of the recorded ones.
        Other factors stay: the same cultivar, mother tree, method, person.
    """

    intercept_mean: float = 0.5
    intercept_sd: float = 1.0
    slope_sd: float = 0.5
    scale: Mapping[str, float] = field(default_factory=lambda: {"cultivar": 0.8})
    other_scale: float = 0.5
    passing: tuple[str, ...] = PASSING

    def __post_init__(self) -> None:
        """Refuse what is no prior."""
        if not np.isfinite(self.intercept_mean):
            raise BadValue("intercept_mean", self.intercept_mean, "a finite number")
        named = {"intercept_sd": self.intercept_sd, "slope_sd": self.slope_sd, "other_scale": self.other_scale, **self.scale}
        for name, value in named.items():
            if not (np.isfinite(value) and value > 0):
                raise BadValue(name, value, "a number above 0")

    def scale_of(self, factor: str) -> float:
        """Give the scale of the half-normal prior of one factor's standard deviation, in log odds.

        Parameters
        ----------
        factor : str
            Name of a factor.

        Returns
        -------
        float
            Scale, above 0.
        """
        return self.scale.get(factor, self.other_scale)

    def words(self, factors: Iterable[str]) -> tuple[str, ...]:
        """Say the assumptions, one sentence each.

        Parameters
        ----------
        factors : iterable of str
            The factors in the model.

        Returns
        -------
        tuple of str
            Sentences.
        """
        low, high = (100 / (1 + np.exp(-(self.intercept_mean + side * 1.645 * self.intercept_sd))) for side in (-1, 1))
        scales = ", ".join(f"{factor} {self.scale_of(factor):g}" for factor in factors)
        return (
            say(
                "The rate before any record: {low:.0f} to {high:.0f} % in nine cases of ten, as growers tell; no source.",
                low=low,
                high=high,
            ),
            say(
                "How far levels of a factor lie apart, in log odds, is learned; before any record it is about as much as: {scales} "
                "(project default, unsourced).",
                scales=scales or say("none"),
            ),
        )
