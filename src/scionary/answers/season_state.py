"""What a season is planned from, as one short text: the same text, the same season."""

from __future__ import annotations

import hashlib
from typing import Any

import numpy as np

from scionary.plan import PlanProblem


def content_of(problem: PlanProblem) -> str:
    """A hash of everything in a problem: its plan is the same, and told in the same words."""
    return _hash(problem, words=True)


def state_of(problem: PlanProblem) -> str:
    """A hash of everything in a problem but names, which come in the language of whoever asks: its plan is the same."""
    return _hash(problem, words=False)


def _hash(problem: PlanProblem, *, words: bool) -> str:
    digest = hashlib.sha256()
    _feed(digest, problem, words)
    return digest.hexdigest()


def _feed(digest: Any, value: Any, words: bool) -> None:
    if isinstance(value, np.ndarray):
        digest.update(repr((value.shape, value.dtype.str)).encode())
        digest.update(np.ascontiguousarray(value).reshape(-1).data)
    elif hasattr(value, "__dataclass_fields__"):
        for name in value.__dataclass_fields__:
            digest.update(name.encode())
            _feed(digest, getattr(value, name), words)
    elif words or not _is_words(value):
        digest.update(repr(value).encode())


def _is_words(value: Any) -> bool:
    return isinstance(value, str) or (isinstance(value, tuple) and bool(value) and all(isinstance(each, str) for each in value))
