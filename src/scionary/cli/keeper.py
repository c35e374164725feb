"""Keeping one process running beside the pages."""

from __future__ import annotations

import logging
import subprocess
import threading
import time
from collections.abc import Sequence

logger = logging.getLogger("scionary.worker")
_LONGEST_PAUSE_S = 60.0


class Keeper:
    """Starts a process and starts it again when it ends by itself, with a longer pause each time that it did not live long."""

    def __init__(self, command: Sequence[str], *, pause_s: float = 1.0) -> None:
        self._command, self._first_pause_s = list(command), pause_s
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._keep, daemon=True)

    def start(self) -> None:
        self._thread.start()

    def end(self) -> None:
        """End the process and do not start it again; kill it when it does not end within ten seconds."""
        self._over.set()
        self._thread.join()

    def _keep(self) -> None:
        pause_s = self._first_pause_s
        while not self._over.is_set():
            begun_s = time.monotonic()
            self._run()
            if time.monotonic() - begun_s > _LONGEST_PAUSE_S:
                pause_s = self._first_pause_s
            self._over.wait(pause_s)
            pause_s = min(pause_s * 2, _LONGEST_PAUSE_S)

    def _run(self) -> None:
        process = subprocess.Popen(self._command)
        while process.poll() is None and not self._over.wait(0.1):
            pass
        if process.poll() is not None:
            logger.error("the worker ended with %s; it is started again", process.returncode)
            return
        process.terminate()
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
