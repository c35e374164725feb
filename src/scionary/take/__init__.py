"""Did it take: rates with their ranges, and numbers to graft."""

from scionary.take.cells import NOT_RECORDED, Covariate, TakeCells, TakeRecords, aggregate_records
from scionary.take.comparing import Confounded, Difference, VarianceShares, compare, confounding, variance_shares
from scionary.take.counts import chance_of_at_least, grafts_needed, likely_takes
from scionary.take.difference import difference_interval
from scionary.take.intervals import wilson_interval
from scionary.take.layout import TrialLayout, trial_layout
from scionary.take.looks import LookRule, LookVerdict, TrialLook, look_at_trial
from scionary.take.mixed_model import EffectTable, Rate, TakeFit, fit_take
from scionary.take.pooling import RatePrior, RateRange, RateTable, pooled_rates, rate_draws
from scionary.take.priors import TakePriors
from scionary.take.sample_size import arms_needed
from scionary.take.signs import SIGN_PRIORS, SignAccuracy, SignEvidence, SignPrior, score_signs
from scionary.take.trial import analyse_trial
from scionary.take.trial_result import ArmComparison, ArmResult, TrialAnalysis, Verdict

__all__ = [
    "NOT_RECORDED",
    "SIGN_PRIORS",
    "ArmComparison",
    "ArmResult",
    "Confounded",
    "Covariate",
    "Difference",
    "EffectTable",
    "LookRule",
    "LookVerdict",
    "Rate",
    "RatePrior",
    "RateRange",
    "RateTable",
    "SignAccuracy",
    "SignEvidence",
    "SignPrior",
    "TakeCells",
    "TakeFit",
    "TakePriors",
    "TakeRecords",
    "TrialAnalysis",
    "TrialLayout",
    "TrialLook",
    "VarianceShares",
    "Verdict",
    "aggregate_records",
    "analyse_trial",
    "arms_needed",
    "chance_of_at_least",
    "compare",
    "confounding",
    "difference_interval",
    "fit_take",
    "grafts_needed",
    "likely_takes",
    "look_at_trial",
    "pooled_rates",
    "rate_draws",
    "score_signs",
    "trial_layout",
    "variance_shares",
    "wilson_interval",
]
