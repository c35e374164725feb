"""Did it take: rates with their ranges, and numbers to graft."""

from scionary.take.bud_push import BudPush, PushTable, bud_push
from scionary.take.cells import NOT_RECORDED, Covariate, TakeCells, TakeRecords, aggregate_records
from scionary.take.comparing import Confounded, Difference, VarianceShares, compare, confounding, variance_shares
from scionary.take.counts import chance_of_at_least, grafts_needed, likely_takes
from scionary.take.difference import difference_interval
from scionary.take.effect_table import EffectTable
from scionary.take.intervals import wilson_interval
from scionary.take.layout import TrialLayout, layout_warnings, trial_layout
from scionary.take.looks import LookRule, LookVerdict, TrialLook, look_at_trial
from scionary.take.mixed_model import Rate, TakeFit, fit_take
from scionary.take.plant_chances import PlantChances, chances_with_signs, update_with_signs
from scionary.take.pooling import RatePrior, RateRange, RateTable, pooled_rates, rate_draws
from scionary.take.priors import TakePriors
from scionary.take.push_likelihood import PushShape
from scionary.take.push_posterior import PushPrior
from scionary.take.sample_size import arms_needed
from scionary.take.signs import SIGN_PRIORS, SignAccuracy, SignEvidence, SignPrior, score_signs
from scionary.take.staging import Batch, Staging, StagingChance, rank_stagings, ready_stagings, survival_chance
from scionary.take.trial import analyse_trial
from scionary.take.trial_power import chance_to_tell_apart, chance_to_tell_trays_apart, trays_needed
from scionary.take.trial_result import ArmComparison, ArmResult, TrialAnalysis, Verdict
from scionary.take.waiting import WaitAdvice, WaitStep, wait_or_regraft

__all__ = [
    "NOT_RECORDED",
    "SIGN_PRIORS",
    "ArmComparison",
    "ArmResult",
    "Batch",
    "BudPush",
    "Confounded",
    "Covariate",
    "Difference",
    "EffectTable",
    "LookRule",
    "LookVerdict",
    "PlantChances",
    "PushPrior",
    "PushShape",
    "PushTable",
    "Rate",
    "RatePrior",
    "RateRange",
    "RateTable",
    "SignAccuracy",
    "SignEvidence",
    "SignPrior",
    "Staging",
    "StagingChance",
    "TakeCells",
    "TakeFit",
    "TakePriors",
    "TakeRecords",
    "TrialAnalysis",
    "TrialLayout",
    "TrialLook",
    "VarianceShares",
    "Verdict",
    "WaitAdvice",
    "WaitStep",
    "aggregate_records",
    "analyse_trial",
    "arms_needed",
    "bud_push",
    "chance_of_at_least",
    "chance_to_tell_apart",
    "chance_to_tell_trays_apart",
    "chances_with_signs",
    "compare",
    "confounding",
    "difference_interval",
    "fit_take",
    "grafts_needed",
    "layout_warnings",
    "likely_takes",
    "look_at_trial",
    "pooled_rates",
    "rank_stagings",
    "rate_draws",
    "ready_stagings",
    "score_signs",
    "survival_chance",
    "trays_needed",
    "trial_layout",
    "update_with_signs",
    "variance_shares",
    "wait_or_regraft",
    "wilson_interval",
]
