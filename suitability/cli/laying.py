"""
Options declared once, as fields of small frozen classes, and laid out in a command's signature.

A command takes such a class as a parameter; on the command line its fields are options, and the
command is handed the filled value. What a command leaves out keeps its default.
"""

import inspect
from collections.abc import Callable
from copy import copy
from functools import wraps
from typing import Annotated, Any, get_args, get_origin

import typer
from msgspec import Struct
from msgspec.structs import fields

from suitability.cli.command import Command


def _hear(context: typer.Context, verbose: bool) -> bool:
    """Have steps told from now on, unless only a shell asks what could be typed."""
    if verbose and not context.resilient_parsing:
        from suitability.cli.terminal import hear_steps

        hear_steps()
    return verbose


Verbose = Annotated[
    bool,
    typer.Option(
        "--verbose",
        rich_help_panel="Output",
        help="Tell on standard error what is done, and when.",
        is_eager=True,
        callback=_hear,
    ),
]


class Only:
    """Of a class of options, only these fields are offered."""

    def __init__(self, *names: str) -> None:
        self.names = frozenset(names)


class Without:
    """Of a class of options, these fields are not offered."""

    def __init__(self, *names: str) -> None:
        self.names = frozenset(names)


class Told:
    """What the help says of fields that mean something else in this command."""

    def __init__(self, **words: str) -> None:
        self.words = words


def command(app: typer.Typer, name: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Register a function as a command of a family, its classes of options laid out."""

    def register(function: Callable[..., None]) -> Callable[..., None]:
        app.command(name, cls=Command)(lay_out(function))
        return function

    return register


def lay_out(function: Callable[..., None]) -> Callable[..., None]:
    """The function as typer reads it: one parameter an option, and --verbose."""
    classes: dict[str, tuple[type[Any], list[str]]] = {}
    parameters: list[inspect.Parameter] = []
    for name, parameter in inspect.signature(function, eval_str=True).parameters.items():
        kind, marks = _class_and_marks(parameter.annotation)
        if kind is None:
            parameters.append(parameter)
            continue
        laid = _fields_of(kind, marks)
        classes[name] = kind, [one.name for one in laid]
        parameters += laid

    parameters.append(
        inspect.Parameter(
            "verbose", inspect.Parameter.KEYWORD_ONLY, default=False, annotation=Verbose
        )
    )

    @wraps(function)
    def run(**typed: Any) -> None:
        del typed["verbose"]  # was heard before anything else
        given = {
            name: kind(**{field: typed.pop(field) for field in own})
            for name, (kind, own) in classes.items()
        }
        function(**typed, **given)

    vars(run)["__signature__"] = inspect.Signature(parameters)  # what typer reads
    return run


def _class_and_marks(annotation: Any) -> tuple[type[Any] | None, tuple[Any, ...]]:
    """The class of options that a parameter is annotated with, and what is marked beside it."""
    kind, *marks = get_args(annotation) if get_origin(annotation) is Annotated else (annotation,)
    return (kind if isinstance(kind, type) and issubclass(kind, Struct) else None), tuple(marks)


def _fields_of(kind: type[Any], marks: tuple[Any, ...]) -> list[inspect.Parameter]:
    """The fields offered, as keyword parameters."""
    declared = kind.__annotations__  # no module of commands defers them
    names = set(declared)
    words: dict[str, str] = {}
    for mark in marks:
        asked = frozenset(mark.words) if isinstance(mark, Told) else mark.names
        assert asked <= set(declared), asked  # a slip of ours
        if isinstance(mark, Only):
            names &= mark.names
        elif isinstance(mark, Without):
            names -= mark.names
        else:
            words |= mark.words
    return [
        inspect.Parameter(
            field.name,
            inspect.Parameter.KEYWORD_ONLY,
            default=field.default,
            annotation=_told(declared[field.name], words.get(field.name)),
        )
        for field in fields(kind)
        if field.name in names
    ]


def _told(annotation: Any, words: str | None) -> Any:
    """A declaration with other words of help."""
    if words is None:
        return annotation
    kind, declared = get_args(annotation)
    declared = copy(declared)
    declared.help = words
    return Annotated[kind, declared]
