"""`python -m oracle cells|chains [NAME ...]`: make the stored data sets and their posteriors again."""

from __future__ import annotations

import argparse
import sys

from oracle import store
from oracle.nursery import NURSERIES, Nursery, simulate


def main(arguments: list[str]) -> int:
    """Make the named data sets, or all of them."""
    parser = argparse.ArgumentParser(prog="oracle", description="Make the stored data sets and their posteriors again.")
    parser.add_argument("what", choices=["cells", "chains"], help="cells and priors alone (stored posteriors go), or the posteriors too")
    parser.add_argument("names", nargs="*", help="which data sets; all when none is named")
    parser.add_argument("--warm-up", type=int, default=3_000, help="draws of each chain that are thrown away (default 3000)")
    parser.add_argument("--draws", type=int, default=30_000, help="draws of each of the four chains that are kept (default 30000)")
    asked = parser.parse_args(arguments)
    unknown = sorted(set(asked.names) - {nursery.name for nursery in NURSERIES})
    if unknown:
        parser.error(f"no data set {', '.join(unknown)}; there are {', '.join(nursery.name for nursery in NURSERIES)}")
    for nursery in NURSERIES:
        if not asked.names or nursery.name in asked.names:
            make_cells(nursery) if asked.what == "cells" else make_chains(nursery, asked.warm_up, asked.draws)
    return 0


def make_cells(nursery: Nursery) -> None:
    """Write the cells and priors alone."""
    cells = simulate(nursery)
    print(f"{store.write(cells, {})}: {len(cells.grafts)} cells, {cells.grafts.sum()} grafts, {cells.takes.sum()} takes")


def make_chains(nursery: Nursery, warm_up: int, draws: int) -> None:
    """Write cells, priors and posterior."""
    from oracle.posterior import Run, summarised

    cells, summaries = summarised(simulate(nursery), Run(warm_up, draws, 1_000 + nursery.seed))
    report = cells.metadata["run"]
    least = min(summaries[key].min() for key in ("ess_bulk", "ess_q05", "ess_q95"))
    print(f"{store.write(cells, summaries)}: {report['seconds']} s, {report['divergences']} divergences", end=", ")
    print(f"r-hat at most {summaries['r_hat'].max():.4f}, effective draws at least {least:.0f}", flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
