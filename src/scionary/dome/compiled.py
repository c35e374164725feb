"""The kernel, compiled by numba: imported only where a long march is wanted and the extra `compiled` is there."""

from __future__ import annotations

from numba import njit
from numba.extending import overload, register_jitable

from scionary.dome import kernel


@overload(kernel.settled)
def _settled(left):  # type: ignore[no-untyped-def]  # numba wants the bare signature
    def one(left):  # type: ignore[no-untyped-def]
        return left <= kernel.SETTLED

    return one


for _function in (kernel.saturated, kernel.saturated_slope, kernel.around, kernel.settle, kernel.advance):
    register_jitable(_function)

march = njit(cache=True)(kernel.march)
