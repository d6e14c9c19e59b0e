"""
What can go wrong that a user can mend.

SuitabilityError
    OptionError        an option is malformed or out of range (exit code 2)
    RecordError        a weather file or record cannot be used as it is
    CatalogueError     a group, collection or other TOML file is broken or lacks an entry
    PlaceError         a place cannot be found or its time zone is unknown
    SourceError        a weather service failed; never the same as "there is no data"
    StoreError         the local store cannot be read or written
    OutputError        a file or folder for results cannot be written

The command line turns these, and nothing else, into one sentence on standard error.
"""

from __future__ import annotations


class SuitabilityError(Exception):
    """Something the user can act on; its text is one sentence: where, what, and what to do."""

    exit_code = 1


class OptionError(SuitabilityError):
    """An option is malformed or out of range."""

    exit_code = 2


class RecordError(SuitabilityError):
    """A weather file or record cannot be used as it is."""


class CatalogueError(SuitabilityError):
    """A TOML file of groups, spots or plants is broken, or lacks what was asked for."""


class PlaceError(SuitabilityError):
    """A place cannot be found, or its time zone is unknown."""


class SourceError(SuitabilityError):
    """A weather service failed, which is never the same as "there is no data"."""


class StoreError(SuitabilityError):
    """The local store cannot be read or written."""


class OutputError(SuitabilityError):
    """A file or folder for results cannot be written."""
