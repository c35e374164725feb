"""Early signs against values from outside; tolerance is half the last printed digit."""

import numpy as np
import pytest

from scionary.take.signs import SignPrior, score_signs

FLAT = SignPrior((1e-6, 1e-6), (1e-6, 1e-6), (1e-6, 1e-6))  # says nothing


def test_sensitivity_and_specificity_of_altman_and_bland():
    # Altman & Bland 1994, BMJ 308:1552: 231 of 258 abnormal livers and 54 of 86 normal ones were told rightly
    abnormal, found, normal, cleared = 258, 231, 86, 54
    signs = np.repeat([1.0, 0.0, 1.0, 0.0], [found, abnormal - found, normal - cleared, cleared])
    truths = np.repeat([1.0, 0.0], [abnormal, normal])
    scored = score_signs(signs, truths, FLAT)
    assert scored.sensitivity.mean == pytest.approx(0.90, abs=5e-3)
    assert scored.specificity.mean == pytest.approx(0.63, abs=5e-3)
    # Altman & Bland 1994, BMJ 309:102: the predictive values of the same livers
    assert scored.take_if_yes.mean == pytest.approx(0.88, abs=5e-3)
    assert 1 - scored.take_if_no.mean == pytest.approx(0.67, abs=5e-3)
