"""The door: one program with its commands, and errors as one sentence on standard error."""

import errno
import gc
import io
import os
import re
import sys
from collections.abc import Callable
from copy import copy
from importlib import import_module
from typing import Annotated, NoReturn

import typer

from suitability.cli.command import Command, Group
from suitability.cli.completing import ASKED, SHELLS, choices, command_typed, ready_shells
from suitability.cli.laying import Verbose, lay_out
from suitability.cli.stopping import INTERRUPTED, STOPPED
from suitability.cli.terminal import done, hear_steps_no_more
from suitability.errors import OutputError, SuitabilityError

# For whoever sets the longitude apart, which is then taken for an option.
APART = " A position is one word: --at 33.9,-118.4,30."
OBJECTS_BEFORE_COLLECTING = 100_000  # a run is short, and makes few circles
PROGRAM = "suitability"
# Each in its own module.
COMMANDS = (
    *("check", "moves", "year", "plan", "outlook"),
    *("report", "cards", "compare", "habitat", "map", "doctor"),
)
FAMILIES = ("groups", "spots", "diary", "weather")  # of commands


def build_app(asked: str | None = None, *, bare: bool = False) -> typer.Typer:
    """
    The program with its commands.

    Parameters
    ----------
    asked
        The first word typed: the name of a command, then only that one is loaded, which is quicker.
    bare
        All commands without their options, which the program's own help does not show.
    """
    every = (*COMMANDS, *FAMILIES)
    app = typer.Typer(
        name=PROGRAM,
        cls=Group,
        context_settings={"help_option_names": ["-h", "--help"]},
        help=(
            "Where a tender orchid can live, and when it must move, from the place's own hourly "
            "temperature record."
        ),
        no_args_is_help=True,
        add_completion=False,  # typer's writes into files of the shell; ours only shows
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback(cls=Group)(root)
    for name in (asked,) if asked in every else every:
        module = import_module(f"suitability.cli.{name}")
        if name in COMMANDS:
            command = getattr(module, name)
            app.command(name, cls=Command)(_without_options(command) if bare else lay_out(command))
        else:
            family = copy(getattr(module, f"{name}_app"))
            family.registered_commands = [] if bare else family.registered_commands
            app.add_typer(family, name=name)
    return app


def _without_options(command: Callable[..., None]) -> Callable[[], None]:
    """A command as the list of commands tells it."""

    def run() -> None: ...

    run.__doc__ = command.__doc__
    return run


def _show_version(asked: bool) -> None:
    """Show the version and stop, if that is asked."""
    if asked:
        from importlib.metadata import version

        typer.echo(f"suitability {version('suitability')}")
        raise typer.Exit


def _show_completion(context: typer.Context, shell: str | None) -> None:
    """Show what a shell needs to complete, and stop, if that is asked."""
    if shell is None or context.resilient_parsing:
        return
    from suitability.cli.options import parse_choice

    ready_shells()
    os.environ[ASKED] = f"source_{parse_choice('--show-completion', shell, SHELLS)}"
    try:
        context.command.main(args=[], prog_name=PROGRAM)
    finally:
        del os.environ[ASKED]


def root(
    *,
    version: Annotated[
        bool,
        typer.Option(
            "--version", help="Show the version and stop.", is_eager=True, callback=_show_version
        ),
    ] = False,
    show_completion: Annotated[
        str | None,
        typer.Option(
            "--show-completion",
            help="Show what makes a shell complete what you type, and stop.",
            is_eager=True,
            callback=_show_completion,
            **choices(*SHELLS),
        ),
    ] = None,
    verbose: Verbose = False,
) -> None:
    """Where a tender orchid can live, and when it must move."""


def main(arguments: list[str] | None = None) -> NoReturn:
    """
    Run the program and leave with its exit code.

    0: done, whatever the verdict. 2: a malformed or out-of-range option. 1: anything found in
    files, catalogue, network or folders. Our own mistakes keep their traceback.
    """
    # Matrices here are small: threads of the array library cost more than they bring.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(OBJECTS_BEFORE_COLLECTING)
    try:
        _run(arguments)
    finally:
        gc.freeze()  # all goes back to the system at once: no need to look through it


def _run(arguments: list[str] | None) -> NoReturn:
    """`main`, to its exit."""
    if sys.stdout is None:
        sys.stdout = _Closed()
    try:
        code = _answer(arguments)
        sys.stdout.flush()  # so that a full disk is told here and not at the very end
    except SuitabilityError as error:
        _say(str(error))
        sys.exit(error.exit_code)
    except typer.TyperException as error:
        apart = APART if re.match(r"-\d", getattr(error, "option_name", "")) else ""
        _say(error.format_message() + apart)
        sys.exit(2)
    except (KeyboardInterrupt, typer.Abort):
        _say(STOPPED)
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        if sys.stderr is not None:
            sys.stderr.close()  # the reader has gone: nothing to say, and nobody to say it to
        sys.exit(0)
    except OSError as error:
        if error.filename is not None or error.errno not in (errno.ENOSPC, errno.EIO, errno.EDQUOT):
            raise
        _say(f"Standard output cannot be written ({error.strerror}); free the disk or pipe it on.")
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what is left in the buffer has no place
        sys.exit(1)
    if code == INTERRUPTED:
        _say(STOPPED)
    sys.exit(code)


def _answer(arguments: list[str] | None) -> int:
    """The exit code of the command that is asked for, once it has run."""
    words = sys.argv[1:] if arguments is None else arguments
    asked = words[0] if words else None
    if ASKED in os.environ:
        ready_shells()
        asked = command_typed(os.environ)
    bare = len(words) < 2 and asked not in (*COMMANDS, *FAMILIES) and ASKED not in os.environ
    program = typer.main.get_command(build_app(asked, bare=bare))
    try:
        code = program(args=arguments, prog_name=PROGRAM, standalone_mode=False)
    except typer.TyperException as error:
        if type(error).__name__ != "NoArgsIsHelpError":
            raise
        typer.echo(error.format_message())  # no command: its help, as it stands
        return 0
    finally:
        done()
        hear_steps_no_more()
    return code if isinstance(code, int) else 0


class _Closed(io.TextIOBase):
    """A standard output that was closed before the start; Python itself would drop all in it."""

    def write(self, _: str) -> NoReturn:
        raise OutputError(
            "Standard output is closed, so that the answer has no place; give it a file or a pipe."
        )


def _say(sentence: str) -> None:
    """One line on standard error; what cannot be seen in a name is written out."""
    line = "".join(
        character if character.isprintable() else ascii(character)[1:-1]
        for character in " ".join(sentence.split())
    )
    typer.echo(f"suitability: {line}", err=True)
