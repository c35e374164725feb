"""What each season brings of a plan, what that is worth, and the cuts that tell a linear programme so.

Two-stage linear programme with simple recourse, one convex shortfall a wish (multi-cut; Birge & Louveaux, Introduction to Stochastic
Programming, 2nd ed. 2011, chapter 5; conditional value at risk by Rockafellar & Uryasev 2000, Journal of Risk 2:21-41).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from scionary.plan.problem import ASSURANCE_WEIGHT, PlanProblem
from scionary.units import Float


@dataclass(frozen=True)
class Cuts:
    """One linear bound a wish: ``shortfall[j] >= right[j] - sum of by_option over the options of j times their grafts``."""

    by_option: Float
    right: Float


@dataclass(frozen=True)
class Seasons:
    """The seasons that a plan is made from, and what a wish is worth.

    Attributes
    ----------
    problem : PlanProblem
        The season.
    finished : ndarray
        Chance that a graft becomes a finished plant, shape (seasons, options).
    made : ndarray
        Finished plants of grafts already made, shape (seasons, targets).
    luck : ndarray
        Standard normal numbers, shape (seasons, targets), centred and scaled by wish.
    spread : ndarray
        Standard deviation of finished plants within a season, shape (seasons, targets); zero until a first plan is known.
    assurance : ndarray
        Wanted chance by wish, NaN where none.
    """

    problem: PlanProblem
    finished: Float
    made: Float
    luck: Float
    spread: Float
    assurance: Float

    @cached_property
    def assurance_price(self) -> Float:
        """Money for each plant missing on average over the worst seasons; 0 where no assurance is asked for."""
        targets = self.problem.targets
        own = np.where(np.isnan(targets.assurance_price), ASSURANCE_WEIGHT * targets.shortfall_cost, targets.assurance_price)
        priced: Float = np.where(np.isnan(self.assurance), 0.0, own)
        return priced

    @property
    def constant(self) -> float:
        """Money that no choice changes: every wish met exactly."""
        targets = self.problem.targets
        return float(np.sum(targets.value * targets.wanted + targets.salvage * (self.made.mean(axis=0) - targets.wanted)))

    @cached_property
    def gain(self) -> Float:
        """Money that a graft brings as if one too many, shape (options,)."""
        gain: Float = self.problem.targets.salvage[self.problem.options.target] * self.finished.mean(axis=0)
        return gain

    def missing(self, grafts: Float) -> Float:
        """Count the plants missing in each season.

        Parameters
        ----------
        grafts : ndarray of shape (options,)
            The plan.

        Returns
        -------
        ndarray of shape (seasons, targets)
            Negative for plants too many.
        """
        given = by_target(self.problem, self.finished, grafts) + self.made
        missing: Float = self.problem.targets.wanted - given + self.spread * self.luck
        return missing

    def worth(self, grafts: Float) -> float:
        """Give the money that finished plants bring on average, less what missing plants and unsure wishes cost.

        Parameters
        ----------
        grafts : ndarray of shape (options,)
            The plan.

        Returns
        -------
        float
            Money, without the costs of making them.
        """
        missing = self.missing(grafts)
        short = np.maximum(missing, 0.0).mean(axis=0) @ self.problem.targets.shortfall_cost
        priced = self.assurance_price
        tail = float(np.maximum(self.tail(missing), 0.0) @ priced) if priced.any() else 0.0
        return self.constant + float(self.gain @ grafts) - float(short) - tail

    def tail(self, missing: Float) -> Float:
        """Give the plants missing on average over the worst seasons of each wish.

        Parameters
        ----------
        missing : ndarray of shape (seasons, targets)
            Plants missing.

        Returns
        -------
        ndarray of shape (targets,)
            0 where no assurance is asked for.
        """
        found: Float = (self._worst(missing) * missing).sum(axis=0)
        return found

    def shortfall_cuts(self, grafts: Float) -> tuple[Cuts, Float]:
        """Give the tangent of the mean shortfall at a plan.

        Parameters
        ----------
        grafts : ndarray of shape (options,)
            The plan.

        Returns
        -------
        cuts, short : Cuts, ndarray
            The tangents, and the mean shortfall there, shape (targets,).
        """
        missing = self.missing(grafts)
        return self._cuts((missing > 0.0) / len(missing)), np.maximum(missing, 0.0).mean(axis=0)

    def tail_cuts(self, grafts: Float) -> tuple[Cuts, Float]:
        """Give the tangent of the mean over the worst seasons at a plan.

        Parameters
        ----------
        grafts : ndarray of shape (options,)
            The plan.

        Returns
        -------
        cuts, tail : Cuts, ndarray
            The tangents, and that mean, shape (targets,).
        """
        missing = self.missing(grafts)
        return self._cuts(self._worst(missing)), self.tail(missing)

    def with_luck_of(self, grafts: Float) -> Seasons:
        """Give the same seasons with the luck of single grafts.

        Parameters
        ----------
        grafts : ndarray of shape (options,)
            A plan, which says how wide it is.

        Returns
        -------
        Seasons
            With their spread.
        """
        each = self.finished * (1.0 - self.finished)
        variance = by_target(self.problem, each, grafts) + _made(self.problem, luck=True)
        return replace(self, spread=np.sqrt(np.maximum(variance, 0.0)))  # a solver's zero may lie a hair below

    def _worst(self, missing: Float) -> Float:
        """Weights of the worst seasons of each wish: they sum to one, the last one counts in part."""
        weights = np.zeros_like(missing)
        for target in np.flatnonzero(~np.isnan(self.assurance)):
            share = (1.0 - self.assurance[target]) * len(missing)
            order = np.argsort(-missing[:, target], kind="stable")
            weights[order, target] = np.clip(share - np.arange(len(missing)), 0.0, 1.0) / share
        return weights

    def _cuts(self, weights: Float) -> Cuts:
        target = self.problem.options.target
        right = (weights * (self.problem.targets.wanted - self.made + self.spread * self.luck)).sum(axis=0)
        return Cuts(np.einsum("so,so->o", weights[:, target], self.finished), right)


def seasons_of(problem: PlanProblem, *, assurance: Float | float | None, rng: np.random.Generator) -> Seasons:
    """Gather the seasons that a plan is made from.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    assurance : float or ndarray, optional
        Wanted chance for all wishes, or one a wish with NaN for none; None for what the wishes say.
    rng : Generator
        Where the luck of single grafts comes from.

    Returns
    -------
    Seasons
        Without the luck of single grafts, which needs a first plan.
    """
    shape = (len(problem.takes), len(problem.targets.names))
    luck = rng.standard_normal(shape)
    luck -= luck.mean(axis=0)
    if len(luck) > 1:
        luck /= np.maximum(luck.std(axis=0), 1e-12)
    wanted = problem.targets.assurance if assurance is None else np.broadcast_to(np.asarray(assurance, dtype=np.float64), shape[1:])
    return Seasons(problem, problem.finished, _made(problem, luck=False), luck, np.zeros(shape), wanted)


def by_target(problem: PlanProblem, chances: Float, grafts: Float) -> Float:
    """Add up chances times grafts over the options of each wish.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    chances : ndarray of shape (seasons, options)
        One number a season and option.
    grafts : ndarray of shape (options,)
        How many of each.

    Returns
    -------
    ndarray of shape (seasons, targets)
        The sums.
    """
    used = np.flatnonzero(grafts)
    total = np.zeros((len(chances), len(problem.targets.names)))
    if len(used):
        used = used[np.argsort(problem.options.target[used], kind="stable")]
        targets, starts = np.unique(problem.options.target[used], return_index=True)
        total[:, targets] = np.add.reduceat(chances[:, used] * grafts[used], starts, axis=1)
    return total


def _made(problem: PlanProblem, *, luck: bool) -> Float:
    """Mean, or variance, of finished plants of grafts already made, shape (seasons, targets)."""
    total = np.zeros((len(problem.takes), len(problem.targets.names)))
    if problem.already is not None:
        chance = problem.already.takes * problem.already.survival
        each = (chance * (1.0 - chance) if luck else chance) * problem.already.grafts
        np.add.at(total.T, problem.already.target, each.T)
    return total
