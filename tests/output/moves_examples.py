"""Moves built by hand: one of each verdict, with a few years of evidence."""

from __future__ import annotations

from msgspec.structs import replace

from suitability.advice.moves import (
    Decades,
    Move,
    MoveDate,
    MovesResult,
    ThresholdDates,
    ThresholdLevel,
    Tonight,
    YearOutdoors,
)
from suitability.advice.result import CarriedNights, Limiting, Reason
from suitability.advice.terms import Season, Verdict

from . import examples

FIRST_DAY = "02-04"  # 182 days before 5 August, the middle of 8 June to 3 October
GOOD = "h" * 20 + "w" * 10 + "d" * 90 + "." * 170 + "d" * 60 + "h" * 15
BAD = GOOD[:160] + "hw" + GOOD[162:]
ENDS = "?" * 365
THRESHOLDS = examples.thresholds(rest_floor_c=None)


def season(out: str = "06-08", inn: str = "10-03", days: int = 117) -> Season:
    """The promised season."""
    return Season(out=out, inn=inn, days=days)


def years(**changes: object) -> tuple[YearOutdoors, ...]:
    """Four years: one not whole, one kept, one failed, one that does not tell."""
    made = YearOutdoors(
        year=2013,
        out="05-24",
        inn="11-21",
        days=181,
        kept=True,
        first_day=FIRST_DAY,
        nights=GOOD,
    )
    silent = replace(made, out=None, inn=None, days=None, kept=None)
    rows = (
        replace(silent, year=2012, nights=ENDS[:-9] + GOOD[-9:]),
        made,
        replace(made, year=2014, out="07-16", days=128, kept=False, nights=BAD),
        replace(silent, year=2015, nights=GOOD[:150] + ENDS[150:]),
    )
    return tuple(replace(row, **changes) for row in rows)


def moving(**changes: object) -> Move:
    """A group that moves out for a season."""
    made = Move(
        spot="open-air",
        group="phalaenanthe",
        group_name="Phalaenanthe and hybrids",
        tonight=Tonight(low_c=10.0),
        verdict=Verdict.SEASONAL,
        reason=Reason(
            code="far-below-limit", text="15 nights on record would likely have done lasting harm."
        ),
        provisional=False,
        promise=0.9,
        model_based=True,
        limiting=(Limiting(cause="dose", months=(1, 2, 12)),),
        thresholds=THRESHOLDS,
        season=season(),
        season_too_short=None,
        typical_season=season("05-19", "11-19", 184),
        survival_season=season("05-20", "10-20", 153),
        survival_seasons=(season("05-20", "10-20", 153),),
        out=MoveDate(
            promised="06-08",
            typical="05-19",
            watch_from="05-19",
            watch_to="06-08",
            earliest="06-04",
            latest="06-20",
            holds_alone=0.941,
        ),
        inn=MoveDate(
            promised="10-03",
            typical="11-19",
            watch_from="10-03",
            watch_to="11-19",
            earliest="09-29",
            latest="10-05",
            holds_alone=0.964,
        ),
        chance=0.905,
        chance_5_years=0.607,
        chance_10_years=0.3686,
        years_usable=11,
        years_kept=10,
        years_counted=11,
        kept_low=0.6226,
        kept_high=0.9838,
        risk_not_excluded=None,
        carried_nights=CarriedNights(typical=13, worst=45),
        decades=Decades(
            last_years=10,
            last_kept=9,
            earlier_years=1,
            earlier_kept=1,
            days_per_decade=22.857,
            trend_p=0.72,
        ),
        by_year=years(),
    )
    return replace(made, **changes)


def staying(**changes: object) -> Move:
    """A group that stays out all year: no night was ever unsafe."""
    whole = season("01-01", "01-01", 365)
    made = moving(
        group="nobile",
        group_name="Nobile type (soft-cane)",
        verdict=Verdict.ALL_YEAR,
        reason=None,
        season=whole,
        typical_season=None,
        survival_season=whole,
        survival_seasons=(whole,),
        out=None,
        inn=None,
        chance=0.99,
        years_kept=11,
        kept_low=0.7412,
        kept_high=1.0,
        risk_not_excluded=0.2384,
        by_year=years(
            nights="." * 365, kept=True, out="01-01", inn="01-01", days=365, first_day="07-16"
        ),
    )
    return replace(made, **changes)


def indoor(**changes: object) -> Move:
    """A group whose season is too short to use."""
    made = moving(
        group="spatulata",
        group_name="Spatulata (antelope)",
        verdict=Verdict.INDOOR,
        reason=Reason(
            code="season-too-short",
            text="The longest outdoor season that 90% of years keep has 52 days, 70 are needed.",
            numbers={"season_days": 52.0, "days_needed": 70.0},
        ),
        season=None,
        season_too_short=season("07-05", "08-26", 52),
        typical_season=None,
        out=None,
        inn=None,
        carried_nights=None,
    )
    return replace(made, **changes)


def unjudged(**changes: object) -> Move:
    """A group without a verdict; its one year is told all the same."""
    made = moving(
        group="masdevallia",
        group_name="Masdevallia",
        verdict=Verdict.NONE,
        reason=Reason(code="too-few-years", text="Only 1 usable plant year, 3 are needed."),
        model_based=False,
        season=None,
        typical_season=None,
        survival_season=None,
        survival_seasons=(),
        out=None,
        inn=None,
        chance=None,
        chance_5_years=None,
        chance_10_years=None,
        years_usable=1,
        years_kept=0,
        years_counted=0,
        kept_low=None,
        kept_high=None,
        carried_nights=None,
        decades=None,
        by_year=years(kept=None),
    )
    return replace(made, **changes)


def thresholds() -> tuple[ThresholdDates, ...]:
    """5 °C in ten of eleven winters, -20 °C in none."""
    levels = (
        ThresholdLevel(
            probability=0.1,
            spring_if_it_happens="03-12",
            spring_in_any_year="03-11",
            autumn_if_it_happens="12-12",
            autumn_in_any_year="12-13",
        ),
        ThresholdLevel(
            probability=0.9,
            spring_if_it_happens="12-17",
            spring_in_any_year=None,
            autumn_if_it_happens="03-03",
            autumn_in_any_year=None,
        ),
    )
    never = tuple(
        replace(
            level,
            spring_if_it_happens=None,
            spring_in_any_year=None,
            autumn_if_it_happens=None,
            autumn_in_any_year=None,
        )
        for level in levels
    )
    return (
        ThresholdDates(
            threshold_c=5.0, seasons=11, seasons_with_event=10, summers_without_gap=0, levels=levels
        ),
        ThresholdDates(
            threshold_c=-20.0, seasons=11, seasons_with_event=0, summers_without_gap=0, levels=never
        ),
    )


def result(*moves: Move, **changes: object) -> MovesResult:
    """One move of each verdict, unless others are given."""
    made = MovesResult(
        place=examples.place(),
        record=examples.record(),
        settings=examples.settings(),
        results=moves or (moving(), staying(), indoor(), unjudged()),
        thresholds=thresholds(),
    )
    return replace(made, **changes)


def hostile_result(text: str) -> MovesResult:
    """A result in which every text that comes from users and files is `text`."""
    reason = Reason(code="x", text=text, numbers={"x": 1.0})
    named = examples.hostile_result(text)
    return result(
        moving(spot=text, group=text, group_name=text, reason=reason),
        unjudged(spot="other", group=text, group_name=text, reason=reason),
        indoor(spot=text, group=text, group_name=text, reason=reason),
        place=named.place,
        record=named.record,
    )
