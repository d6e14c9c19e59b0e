"""One group in full: everything its finding says, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.output.plain import month_table
from suitability.output.profile_words import profile_rows
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from suitability.advice.profile import Profile
    from suitability.advice.result import Finding

__all__ = ["add_details", "detail_rows"]


def add_details(
    console: Console, finding: Finding, units: TemperatureUnit, profile: Profile | None = None
) -> None:
    """Print one group in full, with its profile where there is one."""
    from rich.table import Table  # noqa: PLC0415  (only where tables are drawn)
    from rich.text import Text  # noqa: PLC0415

    name = f"{words.clean(finding.group_name, 60)}, {words.clean(finding.spot, 40)}"
    console.print(Text(name, style="bold"))
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for label, text in detail_rows(finding, units, profile):
        grid.add_row(Text(label), Text(text))
    console.print(grid)
    console.print(_months(finding, units))
    console.print()


def detail_rows(
    finding: Finding, units: TemperatureUnit, profile: Profile | None = None
) -> list[tuple[str, str]]:
    """Labels and sentences about one group, in the order in which a grower asks."""
    rows = [("Verdict", _verdict(finding))]
    if profile is not None:
        rows += profile_rows(profile, units)
    if finding.reason is not None:
        rows.append(("Why", words.clean(finding.reason.text, 400)))
    if finding.verdict is not Verdict.NONE:
        rows += _seasons(finding)
        rows += _robustness(finding, units, told=profile is not None)
        rows.append(("Limited by", words.causes(finding)))
    rows.append(("Thresholds", _thresholds(finding, units)))
    if finding.rest.needed and profile is None:
        rows.append(("Rest", _rest(finding, units)))
    return rows


def _verdict(finding: Finding) -> str:
    """The verdict with what weakens it."""
    text = words.VERDICT_WORDS[finding.verdict]
    if finding.provisional:
        text += f"; provisional, from {finding.years_usable} usable years"
    if finding.thresholds.low_confidence_limit:
        text += "; its limit is of low confidence"
    return text


def _seasons(finding: Finding) -> list[tuple[str, str]]:
    """Season, survival season, years and carried nights."""
    season, outdoor = finding.season, finding.survival_season
    rows = [
        (
            "Season",
            "none that is long enough to use"
            if finding.verdict is Verdict.INDOOR
            else f"{_stretch(finding, 'season')}: outdoors and growing or resting",
        ),
        ("Survival season", f"{_stretch(finding, 'survival')}: free of nights that harm"),
    ]
    if season is not None and finding.verdict is Verdict.SEASONAL and season.days < 365:
        rows.append(
            (
                "Move out",
                f"from {words.day_month(season.out)}, the first two weeks are for hardening",
            )
        )
        rows.append(("Carry in", f"on {words.day_month(season.inn)}, before sunset"))
    if season is not None and outdoor is not None and outdoor != season:
        rows.append(
            ("In between", "outside the season, in the survival season: survives, does not grow")
        )
    if len(finding.survival_seasons) > 1:
        listed = "; ".join(words.season(one) for one in finding.survival_seasons)
        rows.append(("Separate ones", listed))
    if finding.verdict in (Verdict.ALL_YEAR, Verdict.SEASONAL):
        rows.append(("Promise", words.promise(finding)))
    carried = finding.carried_nights
    if carried is not None:
        text = f"typically {carried.typical} a year, {carried.worst} in the worst year"
        rows.append(("Carried nights", f"{text}, for cold, were it left out all year"))
    return rows


def _stretch(finding: Finding, which: str) -> str:
    """A season with its length."""
    season = finding.season if which == "season" else finding.survival_season
    return words.season(season) + ("" if season is None else f" ({season.days} days)")


def _headroom(finding: Finding, units: TemperatureUnit) -> str:
    """How much colder a spot may be for the same verdict: never how much colder a plant stands."""
    colder = f"a spot up to {show_difference(finding.headroom_c or 0.0, units)} colder"
    if finding.verdict is Verdict.ALL_YEAR:
        return f"{colder} would still be outdoors all year"
    return f"{colder} would still have some season of 70 days, with other dates"


def _robustness(finding: Finding, units: TemperatureUnit, *, told: bool) -> list[tuple[str, str]]:
    """How near the verdict is to another one; a profile has told of shelter and roof."""
    rows = []
    if finding.margin_c is not None and not told:
        margin = show_difference(finding.margin_c, units)
        rows.append(("Margin", f"{margin} warmer would raise the verdict"))
    if finding.headroom_c is not None:
        rows.append(("Headroom", _headroom(finding, units)))
    degree = show_difference(1.0, units)
    colder = words.VERDICT_WORDS[finding.verdict_colder]
    warmer = words.VERDICT_WORDS[finding.verdict_warmer]
    if finding.borderline:
        rows.append(("Borderline", f"{degree} colder: {colder}; {degree} warmer: {warmer}"))
    else:
        rows.append(("Not borderline", f"the same {degree} colder and warmer"))
    if finding.dry_verdict is not None and not told:
        rows.append(("With rain kept off", words.VERDICT_WORDS[finding.dry_verdict]))
    if finding.stability is not None:
        rows.append(("Stability", f"the same in {finding.stability:.0%} of resamples of the years"))
    return rows


def _months(finding: Finding, units: TemperatureUnit) -> Table:
    """Month by month: hours below both floors, days of growth or rest, unsafe nights."""
    from rich.text import Text  # noqa: PLC0415

    table, judged = month_table("", ""), finding.verdict is not Verdict.NONE
    used = finding.thresholds
    for name, floor_c, below, in_bad in (
        ("growth", used.floor_c, finding.hours_below, finding.hours_below_bad),
        ("rest", used.rest_floor_c, finding.hours_below_rest, finding.hours_below_rest_bad),
    ):
        if floor_c is not None and below is not None and in_bad is not None:
            threshold = show_temperature(floor_c, units)
            mean, bad = map(words.hours, below.months), map(words.hours, in_bad)
            year = words.hours(below.year)
            table.add_row(*map(Text, (f"h below {threshold}", name, *mean, year)))
            if judged:
                table.add_row(*map(Text, ("  one year in ten", "bad year", *bad, "")))
    if not judged:  # too little is known for what would read as an answer
        return table
    table.add_row(*map(Text, ("days it grows", "or rests", *map(str, finding.growing_days), "")))
    shares = [words.UNKNOWN if s is None else words.hours(100 * s) for s in finding.unsafe_share]
    table.add_row(*map(Text, ("unsafe nights", "%", *shares, "")))
    return table


def _thresholds(finding: Finding, units: TemperatureUnit) -> str:
    """The numbers that decided."""
    used = finding.thresholds

    def shown(temp_c: float) -> str:
        return show_temperature(temp_c, units)

    parts = [
        f"limit {shown(used.limit_c)} dry and {shown(used.limit_wet_c)} wet",
        f"chill base {shown(used.chill_base_c)}",
        f"dose {show_difference(used.dose_limit_c_h, units, 0)}·h in 14 days",
    ]
    if used.ceiling_c is not None:
        parts.append(f"ceiling {shown(used.ceiling_c)}")
    return ", ".join(parts)


def _rest(finding: Finding, units: TemperatureUnit) -> str:
    """Whether the rest that brings flowers is met outdoors, and the room that would meet it."""
    rest = finding.rest
    if rest.met_years is None or rest.of_years is None:
        return "needed for flowers; not judged, for there is no verdict"
    if rest.of_years == 0:
        return "needed for flowers; not judged, for no winter is observed well enough"
    parts = ["needed for flowers"]
    if finding.verdict is Verdict.INDOOR:
        parts.append("no night is spent outdoors")
    partly = "" if not rest.partly_years else f", partly in {rest.partly_years}"
    kept_dry = ", if the pot is kept dry" if rest.if_kept_dry else ""
    met = f"met in {rest.met_years}{partly} of {rest.of_years} years outdoors{kept_dry}"
    if finding.verdict is not Verdict.INDOOR:
        parts.append(met)
    if rest.usual_date is not None and rest.latest_date is not None:
        usual, latest = words.day_month(rest.usual_date), words.day_month(rest.latest_date)
        parts.append(f"complete by {usual} in a usual year, by {latest} in the latest")
    if rest.room is not None:
        low = show_temperature(rest.room.low_c, units)
        high = show_temperature(rest.room.high_c, units)
        parts.append(
            f"a bright room kept between {low} and {high} meets it in {rest.room.nights} nights"
        )
    return "; ".join(parts)
