"""Ctrl-C: one sentence and the shell's own exit code, while the program still loads too."""

import os

INTERRUPTED = 130  # the shell's own code for Ctrl-C
STOPPED = "Stopped; nothing was half-written."


def stop_at_once(*_: object) -> None:
    """
    Say so and end this process, without asking anything that still runs in it.

    For the time in which nothing has been begun, when an exception could come up in the middle of
    an import and be lost there.
    """
    try:
        os.write(2, f"suitability: {STOPPED}\n".encode())
    finally:
        os._exit(INTERRUPTED)
