"""Identifiers made where a record is written."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor

from scionary.book.ids import uuid7


def test_an_id_has_the_version_variant_and_time_of_rfc_9562() -> None:
    before = time.time_ns() // 1_000_000
    made = uuid7()
    assert (made.version, made.variant) == (7, "specified in RFC 4122")
    assert before <= made.int >> 80 <= before + 5_000


def test_ids_made_one_after_another_grow() -> None:
    made = [uuid7() for _ in range(20_000)]
    assert made == sorted(made)
    assert len(set(made)) == 20_000


def test_threads_never_make_the_same_id() -> None:
    with ThreadPoolExecutor(4) as pool:
        made = list(pool.map(lambda _: [uuid7() for _ in range(5_000)], range(4)))
    assert all(some == sorted(some) for some in made)
    assert len({ident for some in made for ident in some}) == 20_000
