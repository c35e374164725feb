"""The same questions and commands as the pages, in a terminal.

Exit codes: 0 done, 1 answered "no" or "not well", 2 refused input. Heavy libraries are imported inside the
commands, so that `scionary --help` answers at once.
"""

from __future__ import annotations

from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command that was typed; a refusal is one sentence on the error stream and exit code 2."""
    import sys

    from scionary.cli.outside import check_arguments, refusing_failures, sentence_of
    from scionary.errors import ScionaryError, Stopped

    try:
        check_arguments(sys.argv[1:] if arguments is None else arguments)
        with refusing_failures():
            from scionary.cli.program import program

            program(arguments)
    except Stopped as stopped:
        sys.stderr.write(f"Stopped. {stopped}\n")
        sys.exit(1)
    except ScionaryError as refusal:
        sys.stderr.write(f"Refused. {sentence_of(refusal)}\n")
        sys.exit(2)
    except BrokenPipeError:
        sys.exit(0)
