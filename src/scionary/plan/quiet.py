"""The solver without a word on the terminal; imported only when something is to be solved, for it takes its time to load."""

from __future__ import annotations

from highspy import Highs, HighsLp, HighsModelStatus, HighsSolution, HighsVarType, MatrixFormat

__all__ = ["HighsLp", "HighsModelStatus", "HighsSolution", "HighsVarType", "MatrixFormat", "quiet_solver"]


class _Quiet(Highs):
    """Silent from the first: its own constructor makes the first call that would print a line."""

    def enableCallbacks(self) -> None:  # noqa: N802
        """Silence it, then go on."""
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def quiet_solver() -> Highs:
    """Give a solver that prints nothing and, on one thread, gives the same answer each time.

    Returns
    -------
    Highs
        Without a model.
    """
    solver: Highs = _Quiet()  # type: ignore[no-untyped-call]
    for option, value in (("output_flag", False), ("threads", 1), ("random_seed", 0), ("mip_feasibility_tolerance", 1e-7)):
        solver.setOptionValue(option, value)
    return solver
