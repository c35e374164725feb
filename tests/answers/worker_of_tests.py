"""A worker process for `test_worker.py`: it knows one work, slow enough to be killed in the middle of it."""

from __future__ import annotations

import sys
import time
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from scionary.answers.works import WORKS, LastStep, Progress, tell

STEPS = 40


def slow_name(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """Take about two seconds, then write a cultivar that is called after how many there are."""
    for step in range(STEPS):
        tell(progress, step / STEPS, f"step {step}")
        time.sleep(0.05)

    def last_step() -> dict[str, Any]:
        from scionary.book.commands import cultivar_called
        from scionary.book.models import Cultivar

        return {"written": cultivar_called(f"Red Tarn {Cultivar.objects.count()}", now=now).spoken}

    return last_step


WORKS["slow name"] = slow_name

if __name__ == "__main__":
    from scionary.book.opening import set_up_django

    set_up_django()
    from scionary.answers.worker import run_worker

    run_worker(parent=int(sys.argv[1]))
