"""
Pages printed to PDF by a browser that the machine has: it knows paper, fonts and hyphens best.

The browser is started without a window and without a profile of the user's, on a page that asks for
no network; it is given a minute.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
from contextlib import suppress
from pathlib import Path

from suitability.errors import OutputError
from suitability.output.writing import check_target, write_bytes

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "msedge")
SECONDS = 60.0


def check_printing(target: str) -> str:
    """
    The browser that will print; called before a long computation.

    Raises
    ------
    OutputError
        There is no such browser, or the file cannot be written.
    """
    check_target(target)
    browser = next(filter(None, map(shutil.which, BROWSERS)), None)
    if browser is None:
        raise OutputError(
            f"{target}: a PDF is printed by a browser, and none of {', '.join(BROWSERS[:3])} is "
            "installed; install one, or write the page with --out and print it yourself."
        )
    return browser


def print_page(page: str, target: str) -> None:
    """
    A page as PDF, on the paper that its style asks for.

    Parameters
    ----------
    page
        A whole self-contained page.
    target
        File to write.

    Raises
    ------
    OutputError
        There is no such browser, it fails, or the file cannot be written.
    """
    browser = check_printing(target)
    with tempfile.TemporaryDirectory(prefix="suitability-", ignore_cleanup_errors=True) as folder:
        source, printed = Path(folder, "page.html"), Path(folder, "page.pdf")
        source.write_text(page, encoding="utf-8")
        arguments = [
            browser,
            "--headless",
            "--disable-gpu",
            "--no-first-run",
            "--no-pdf-header-footer",
            f"--user-data-dir={folder}/profile",
            *(["--no-sandbox"] if _is_root() else []),
            f"--print-to-pdf={printed}",
            source.as_uri(),
        ]
        try:
            _run_alone(arguments, folder)
            made = printed.read_bytes()
        except (OSError, subprocess.SubprocessError) as error:
            raise OutputError(
                f"{target}: {Path(browser).name} could not print the page; write it with --out and "
                "print it yourself."
            ) from error
    if not made.startswith(b"%PDF"):
        raise OutputError(f"{target}: {Path(browser).name} printed something that is no PDF.")
    write_bytes(target, made)


def _run_alone(arguments: list[str], folder: str) -> None:
    """
    Run the browser in a group of its own, and end all of it, whatever stops the wait for it.

    A part of it that outlives Ctrl-C would write into its folder after that is cleared away; what
    it puts among temporary files it puts there too.

    Raises
    ------
    OSError, subprocess.SubprocessError
        It cannot be started, takes too long, or fails.
    """
    nowhere = subprocess.DEVNULL
    with subprocess.Popen(  # noqa: S603
        arguments,
        stdin=nowhere,
        stdout=nowhere,
        stderr=nowhere,
        env=os.environ | {"TMPDIR": folder},
        start_new_session=True,
    ) as browser:
        try:
            code = browser.wait(SECONDS)
        finally:
            if sys.platform == "win32":
                browser.kill()
            else:
                with suppress(OSError):  # nothing of it is left
                    os.killpg(browser.pid, signal.SIGKILL)
    if code != 0:
        raise subprocess.CalledProcessError(code, arguments)


def _is_root() -> bool:
    """Whether the browser would refuse its own sandbox, as in a container."""
    return hasattr(os, "geteuid") and os.geteuid() == 0
