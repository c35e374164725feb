"""`python -m oracle cells|chains [NAME ...]`: make the stored data sets and their posteriors again."""

from __future__ import annotations

import argparse
import sys

from oracle import store
from oracle.nursery import NURSERIES, simulate


def main(arguments: list[str]) -> int:
    """Make the named data sets, or all of them."""
    parser = argparse.ArgumentParser(prog="oracle", description="Make the stored data sets and their posteriors again.")
    parser.add_argument("what", choices=["cells", "chains"], help="cells and priors alone, or the posteriors too")
    parser.add_argument("names", nargs="*", help="which data sets; all when none is named")
    parser.add_argument("--warm-up", type=int, default=2_000, help="draws of each chain that are thrown away (default 2000)")
    parser.add_argument("--draws", type=int, default=10_000, help="draws of each of the four chains that are kept (default 10000)")
    asked = parser.parse_args(arguments)
    unknown = sorted(set(asked.names) - {nursery.name for nursery in NURSERIES})
    if unknown:
        parser.error(f"no data set {', '.join(unknown)}; there are {', '.join(nursery.name for nursery in NURSERIES)}")
    for nursery in NURSERIES:
        if not asked.names or nursery.name in asked.names:
            make(simulate(nursery), asked)
    return 0


def make(cells: store.Cells, asked: argparse.Namespace) -> None:
    """Write one data set, with its posterior when chains are asked for."""
    if asked.what == "cells":
        print(f"{store.write(cells, {})}: {len(cells.grafts)} cells, {cells.grafts.sum()} grafts, {cells.takes.sum()} takes")
        return
    from oracle.posterior import summarised

    cells, summaries = summarised(cells, asked.warm_up, asked.draws)
    least = min(summaries[key].min() for key in ("ess_bulk", "ess_q05", "ess_q95"))
    run, worst = cells.metadata["run"], summaries["r_hat"].max()
    print(f"{store.write(cells, summaries)}: {run['seconds']} s, {run['divergences']} divergences", end=", ")
    print(f"r-hat at most {worst:.4f}, effective draws at least {least:.0f}", flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
