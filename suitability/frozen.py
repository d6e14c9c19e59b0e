"""
Frozen records: dataclasses that cannot be changed, made without writing source code.

The standard library writes and compiles six functions for every dataclass, about a millisecond
each time the program starts; the modules of the everyday path hold dozens of them. Here the same
functions are written once and shared. What comes out is a dataclass still: `replace`, `fields` and
type checkers take it as one.
"""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, dataclass
from typing import Any, NoReturn, TypeVar, dataclass_transform

__all__ = ["frozen"]

T = TypeVar("T")


@dataclass_transform(kw_only_default=True, frozen_default=True)
def frozen(cls: type[T]) -> type[T]:
    """
    Make a class a dataclass that is frozen, has slots and takes its fields by name.

    Defaults are plain values. Two records are equal if they are of one class and their fields are.

    Examples
    --------
    >>> @frozen
    ... class Point:
    ...     x: float
    ...     y: float = 0.0
    >>> Point(x=1.0)
    Point(x=1.0, y=0.0)
    """
    for name, method in _SHARED.items():
        setattr(cls, name, method)
    return dataclass(init=False, repr=False, eq=False, slots=True)(cls)


def _init(self: Any, /, **given: Any) -> None:
    fields = self.__dataclass_fields__
    for name, field in fields.items():
        value = given.pop(name, field.default)
        if value is MISSING:
            raise TypeError(f"{type(self).__name__}: {name} is missing")
        object.__setattr__(self, name, value)
    if given:
        raise TypeError(f"{type(self).__name__} has no {', '.join(given)}")


def _values(self: Any) -> tuple[Any, ...]:
    return tuple([getattr(self, name) for name in self.__dataclass_fields__])


def _repr(self: Any) -> str:
    values = zip(self.__dataclass_fields__, _values(self), strict=True)
    return f"{type(self).__qualname__}({', '.join(f'{name}={value!r}' for name, value in values)})"


def _eq(self: Any, other: object) -> bool:
    return _values(self) == _values(other) if type(other) is type(self) else NotImplemented


def _hash(self: Any) -> int:
    return hash(_values(self))


def _set(_: Any, name: str, __: object) -> NoReturn:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(_: Any, name: str) -> NoReturn:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _restore(self: Any, values: tuple[Any, ...]) -> None:
    for name, value in zip(self.__dataclass_fields__, values, strict=True):
        object.__setattr__(self, name, value)


_SHARED = {
    "__init__": _init,
    "__repr__": _repr,
    "__eq__": _eq,
    "__hash__": _hash,
    "__setattr__": _set,
    "__delattr__": _delete,
    "__getstate__": _values,  # copies are made through these two
    "__setstate__": _restore,
}
