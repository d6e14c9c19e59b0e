"""Results built by hand: a small place with one finding of each verdict."""

from __future__ import annotations

from datetime import date
from typing import Any

from msgspec.structs import replace

from suitability.advice.result import (
    CarriedNights,
    CheckResult,
    Finding,
    Limiting,
    MonthOfYear,
    Period,
    Ranking,
    Reason,
    RecordSummary,
    RestFinding,
    Settings,
    Thresholds,
    WorstFortnight,
    WorstNight,
)
from suitability.advice.terms import Flowers, MonthlyHours, Season, Verdict
from suitability.places import Place
from suitability.weather.record import FlagCount, OriginHours, Station

WHOLE_YEAR = Season(out="01-01", inn="01-01", days=365)
HOURS = (400.04, 350.0, 300.0, 150.0, 40.0, 0.2, 0.0, 0.0, 5.0, 60.0, 200.0, None)
HOSTILE = (
    "<script>alert(1)</script>",
    "\"><img src=x onerror='alert(1)'>",
    "' onmouseover='alert(1)",
    "</script><script>alert(1)</script>",
    "<!--",
    "<b>bold</b> &amp; &lt;",
    "<a href='https://example.org'>link</a>",
    "abc\u202egnp.exe",
    "\u2066left\u2069 \u200fright",
    "\x1b[31mred\x1b[0m\x07",
    "[bold red]markup[/bold red] [link=https://example.org]x[/link]",
    "line one\nline two\r\nline three\ttab",
    "x" * 10_000,
    '=HYPERLINK("https://example.org";"x")',
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "%{x} %{customdata[0]}",
    "null\x00byte",
    "lone\ud800surrogate",
    "",
)


def place(**changes: object) -> Place:
    """An invented place."""
    made = Place(
        name="Testing Cove",
        latitude=35.0,
        longitude=-22.0,
        elevation_m=15.0,
        zone="Etc/GMT+1",
        utc_offset_hours=-1.0,
    )
    return replace(made, **changes)


def station(**changes: object) -> Station:
    """An invented station."""
    made = Station(
        identifier="00000",
        name="Testing Point",
        latitude=35.1,
        longitude=-22.1,
        elevation_m=3.0,
        distance_km=14.26,
        height_difference_m=-12.0,
    )
    return replace(made, **changes)


def record(**changes: object) -> RecordSummary:
    """Twelve years of an observed record."""
    made = RecordSummary(
        period=Period(start="2013-01-01T00:00Z", end="2024-12-31T23:00Z"),
        hours_valid=104_706,
        coverage=0.99538,
        step_hours=1,
        origin=OriginHours(observed=104_706, missing=486),
        source="A made-up file",
        licence="CC0",
        attribution="Nobody",
        station=None,
        flags=(FlagCount(name="spike", hours=3, removed=True),),
        notes=("2 doubled hours were kept once.",),
        rain_known=True,
    )
    return replace(made, **changes)


def settings() -> Settings:
    """The usual settings."""
    return Settings(
        promise=0.9,
        caution="usual",
        minimum_allowance_c=0.6,
        minimum_allowance_from="usual",
        seed=20,
        quality=True,
    )


def below(hours: tuple[float | None, ...] = HOURS) -> dict[str, Any]:
    """Hours below both floors; December was never observed."""
    bad = tuple(None if value is None else value * 1.25 for value in hours)
    degree_hours = tuple(None if value is None else value * 3 for value in hours)
    return {
        "hours_below": MonthlyHours.of(hours),
        "hours_below_median": hours,
        "hours_below_bad": bad,
        "degree_hours_below": degree_hours,
        "years_of_month": tuple(0 if value is None else 12 for value in hours),
        "hours_below_rest": MonthlyHours.of(hours),
        "hours_below_rest_bad": bad,
        "degree_hours_below_rest": degree_hours,
    }


def thresholds(**changes: object) -> Thresholds:
    """Those of a hard-cane."""
    made = Thresholds(
        floor_c=15.0,
        rest_floor_c=13.0,
        chill_base_c=12.0,
        dose_limit_c_h=60.0,
        limit_c=5.0,
        limit_wet_c=8.0,
        ceiling_c=36.0,
        low_confidence_limit=False,
    )
    return replace(made, **changes)


def ranking(rank: int, **changes: object) -> Ranking:
    """The place of a group among others; never out unless said."""
    made = Ranking(
        rank=rank,
        good_days=0,
        days_out=0,
        days_at_ease=0,
        flower_share=1.0,
        heat_share=1.0,
        warmer_c=1.5,
    )
    return replace(made, **changes)


def seasonal(**changes: object) -> Finding:
    """A group that is out for a season."""
    made = Finding(
        spot="open-air",
        group="phalaenanthe",
        group_name="Phalaenanthe and hybrids",
        verdict=Verdict.SEASONAL,
        reason=Reason(
            code="unsafe-nights",
            text="0 % of 11 plant years stayed free of unsafe nights.",
            numbers={"all_year_share": 0.0, "years_usable": 11.0},
        ),
        provisional=False,
        borderline=False,
        verdict_colder=Verdict.SEASONAL,
        verdict_warmer=Verdict.SEASONAL,
        dry_verdict=Verdict.SEASONAL,
        promise=0.9,
        model_based=True,
        years_usable=11,
        years_kept=10,
        years_counted=11,
        **below(),
        by_month=(
            MonthOfYear(
                year=2013,
                month=1,
                hours_valid=744,
                hours_below=400.123457,
                degree_hours_below=900.25,
            ),
            MonthOfYear(
                year=2013, month=2, hours_valid=0, hours_below=None, degree_hours_below=None
            ),
        ),
        season=Season(out="06-01", inn="10-08", days=129),
        survival_season=Season(out="05-20", inn="10-20", days=153),
        survival_seasons=(Season(out="05-20", inn="10-20", days=153),),
        growing_days=(0, 0, 0, 0, 5, 30, 31, 31, 30, 10, 0, 0),
        unsafe_share=(0.5, 0.4, 0.3, 0.1, 0.01, 0.0, 0.0, 0.0, 0.0, 0.05, 0.2, None),
        carried_nights=None,
        margin_c=3.1,
        headroom_c=1.4,
        rest=RestFinding(needed=False),
        flowers=Flowers.CAN,
        line="lives here for a season, nothing in its rest stands against flowers",
        ranking=ranking(2, good_days=115, days_out=129, days_at_ease=101),
        limiting=(
            Limiting(cause="wet-cold", months=(1, 2, 3, 11, 12)),
            Limiting(cause="floor", months=(1, 2, 3, 4, 5, 10, 11, 12)),
        ),
        stability=0.985,
        thresholds=thresholds(),
        worst_nights=(WorstNight(evening=date(2017, 1, 8), minimum_c=2.5, below_limit_c=3.1),),
        worst_fortnights=(
            WorstFortnight(last_evening=date(2017, 1, 14), dose_c_h=1234.5, lowest_c=2.5),
        ),
    )
    return replace(made, **changes)


def all_year(**changes: object) -> Finding:
    """A group that is out all year."""
    made = seasonal(
        group="nobile",
        group_name="Nobile type (soft-cane)",
        verdict=Verdict.ALL_YEAR,
        reason=None,
        provisional=True,
        borderline=True,
        verdict_colder=Verdict.SEASONAL,
        verdict_warmer=Verdict.ALL_YEAR,
        dry_verdict=Verdict.ALL_YEAR,
        model_based=False,
        years_kept=11,
        season=WHOLE_YEAR,
        survival_season=WHOLE_YEAR,
        survival_seasons=(WHOLE_YEAR,),
        growing_days=(31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31),
        unsafe_share=(0.0,) * 12,
        carried_nights=CarriedNights(typical=2, worst=9),
        margin_c=None,
        headroom_c=0.4,
        rest=RestFinding(needed=True, met_years=8, partly_years=2, of_years=11),
        limiting=(),
        ranking=ranking(1, good_days=340, days_out=365, days_at_ease=315),
    )
    return replace(made, **changes)


def indoor(**changes: object) -> Finding:
    """A group that stays indoors, with a stretch in which it would only survive."""
    made = seasonal(
        group="paphiopedilum-warm",
        group_name="Paphiopedilum, mottled leaf (warm)",
        verdict=Verdict.INDOOR,
        verdict_colder=Verdict.INDOOR,
        dry_verdict=None,
        season=None,
        headroom_c=None,
        hours_below_rest=None,
        hours_below_rest_bad=None,
        degree_hours_below_rest=None,
        thresholds=thresholds(rest_floor_c=None, ceiling_c=None, low_confidence_limit=True),
        ranking=ranking(3),
    )
    return replace(made, **changes)


def no_verdict(**changes: object) -> Finding:
    """A group without a verdict: the record is too short."""
    made = seasonal(
        group="masdevallia",
        group_name="Masdevallia",
        verdict=Verdict.NONE,
        reason=Reason(code="too-few-years", text="Only 0 usable plant years, 3 are needed."),
        verdict_colder=Verdict.NONE,
        verdict_warmer=Verdict.NONE,
        dry_verdict=None,
        model_based=False,
        years_usable=0,
        years_kept=0,
        years_counted=0,
        **(below((None,) * 12) | {"hours_below_rest": None}),
        by_month=(),
        season=None,
        survival_season=None,
        survival_seasons=(),
        growing_days=(0,) * 12,
        unsafe_share=(None,) * 12,
        margin_c=None,
        headroom_c=None,
        limiting=(),
        stability=None,
        thresholds=thresholds(floor_c=10.0, rest_floor_c=None),
        worst_nights=(),
        worst_fortnights=(),
        ranking=ranking(4),
    )
    return replace(made, **changes)


def result(*findings: Finding, **changes: object) -> CheckResult:
    """A result of one finding of each verdict, unless others are given."""
    made = CheckResult(
        place=place(),
        record=record(),
        settings=settings(),
        results=findings or (all_year(), seasonal(), indoor(), no_verdict()),
    )
    return replace(made, **changes)


def hostile_result(text: str) -> CheckResult:
    """A result in which every text that comes from users and files is `text`."""
    reason = Reason(code="x", text=text, numbers={"x": 1.0})
    return result(
        seasonal(spot=text, group=text, group_name=text, reason=reason),
        no_verdict(spot="other", group=text, group_name=text, reason=reason),
        place=place(name=text, zone=text),
        record=record(
            source=text,
            licence=text,
            attribution=text,
            notes=(text,),
            flags=(FlagCount(name=text, hours=1, removed=False),),
            station=station(name=text, identifier=text),
        ),
    )
