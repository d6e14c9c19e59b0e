"""The command `doctor`: whether all that the program needs is there, and what to do next."""

import os
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated

from suitability.cli.asking import write_answer
from suitability.cli.laying import Only
from suitability.cli.options import Fetched, Output
from suitability.errors import OutputError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet


def doctor(
    *,
    fetched: Annotated[Fetched, Only("offline")],
    output: Annotated[Output, Only("json")],
) -> None:
    """Say what the program finds on this computer, and what to do next."""
    from suitability.weather.health import SHORT_PATIENCE, examine
    from suitability.weather.sources.transport import make_transport
    from suitability.weather.store import default_store_folder

    found = examine(
        default_store_folder(),
        now=datetime.now(UTC),
        transport=None
        if fetched.offline
        else make_transport(patience=SHORT_PATIENCE, environment=os.environ),
        environment=os.environ,
        no_pictures=_why_no_pictures(),
    )

    def sheet() -> "Sheet":
        from suitability.answers.doctor import doctor_sheet

        return doctor_sheet(found)

    write_answer(output, found, sheet)


def _why_no_pictures() -> str:
    """Why they cannot be drawn; empty if they can."""
    from suitability.output.images import check_drawing

    try:
        check_drawing()
    except OutputError as reason:
        return str(reason).removeprefix("--figure: ")
    return ""
