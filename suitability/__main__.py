"""`suitability` and `python -m suitability`: little is loaded before Ctrl-C is provided for."""

import signal

from suitability.cli.stopping import stop_at_once


def main() -> None:
    """Load the program and run it; see `suitability.cli.main`."""
    usual = signal.getsignal(signal.SIGINT)
    heard = usual is signal.default_int_handler  # a shell may have its background jobs ignore it
    if heard:
        signal.signal(signal.SIGINT, stop_at_once)
    from suitability.cli.main import main as enter  # noqa: PLC0415  (the slow part of a start)

    try:
        if heard:
            signal.signal(signal.SIGINT, usual)
        enter()
    except KeyboardInterrupt:  # just before or after the door looks out for it
        stop_at_once()


if __name__ == "__main__":
    main()
