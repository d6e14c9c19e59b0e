"""A card built by hand, of which no two fields have the same value."""

from __future__ import annotations

from msgspec.structs import replace

from suitability.advice.card import (
    Card,
    CardResult,
    HardNights,
    InGrowthAndRest,
    RestWords,
)
from suitability.advice.flowering import BloomTime
from suitability.advice.moves import MoveDate, Tonight
from suitability.advice.plant_year import DryAir, HeatOutlook, RestOfYear, RestOutlook
from suitability.advice.result import CarriedNights
from suitability.advice.terms import (
    Flowers,
    Grows,
    HeatWord,
    Missing,
    Rain,
    RestRoom,
    Rests,
    Season,
    Span,
    Survives,
    Verdict,
)
from suitability.groups.group import Mark
from tests.output import examples


def rest(**changes: object) -> RestOutlook:
    """A rest that most winters brought."""
    made = RestOutlook(
        needed=True,
        met_years=7,
        partly_years=3,
        of_years=12,
        usual_date="12-11",
        latest_date="01-22",
        rain=Rain.KNOWN,
        must_be_dry=True,
        by_year=(
            RestOfYear(year=2013, state="met", met_on="12-05", nights=41, cool_hours=501.0),
            RestOfYear(
                year=2014,
                state="partly",
                met_on=None,
                nights=17,
                cool_hours=502.0,
                missing=Missing.DRYNESS,
            ),
            RestOfYear(
                year=2015,
                state="not",
                met_on=None,
                nights=6,
                cool_hours=503.0,
                missing=Missing.COLD,
            ),
        ),
        nights_indoors=161,
        room=RestRoom(low_c=9.0, high_c=11.0, nights=28),
        rooms=(),
        left_usual=8,
        left_most=13,
    )
    return replace(made, **changes)


def heat(**changes: object) -> HeatOutlook:
    """Heat that harms at times."""
    made = HeatOutlook(
        word=HeatWord.AT_TIMES,
        ceiling_c=36.0,
        warm_night_c=24.0,
        hours_mean=52.0,
        hours_bad=87.0,
        hours_by_month=tuple(float(301 + month) for month in range(12)),
        longest_run=5,
        usual_run=2,
        warm_nights_mean=14.0,
        harmful_years=4,
        of_years=10,
        spent_out=True,
    )
    return replace(made, **changes)


def card(**changes: object) -> Card:
    """The card of a group that goes out for a season."""
    made = Card(
        spot="east wall",
        group="made-up",
        group_name="Made-up section",
        survives=Survives.IN_SEASON,
        grows=Grows.IN_SEASON,
        rests=Rests.MET,
        flowers=Flowers.CAN,
        line="lives here for a season, nothing in its rest stands against flowers",
        rest=rest(),
        heat=heat(),
        dry_air=DryAir(hours_mean=63.0, hours_bad=99.0, deficit_hours_mean=71.0, warned=True),
        roofed=True,
        indoors=False,
        plants=("own plant",),
        numbers=(1,),
        aliases=("first alias", "second alias"),
        verdict=Verdict.SEASONAL,
        provisional=False,
        borderline=False,
        model_based=False,
        low_confidence_limit=False,
        years_usable=15,
        unseen_nights=0,
        season=Season(out="06-08", inn="10-03", days=117),
        limit_c=3.0,
        limit_wet_c=6.0,
        floor_c=16.0,
        rest_floor_c=13.0,
        good_nights_c=Span(low=18.0, high=21.0),
        comfort_c=17.0,
        comfort_season=Season(out="07-02", inn="09-11", days=71),
        ceiling_c=38.0,
        out=MoveDate(
            promised="06-08",
            typical="05-19",
            watch_from="05-21",
            watch_to="06-07",
            earliest="06-04",
            latest="06-20",
            holds_alone=0.941,
        ),
        inn=MoveDate(
            promised="10-03",
            typical="11-19",
            watch_from="10-04",
            watch_to="11-17",
            earliest="09-29",
            latest="10-05",
            holds_alone=0.964,
        ),
        out_any_day=False,
        in_any_day=False,
        carried_nights=CarriedNights(typical=22, worst=45),
        hard_nights=HardNights(mean=19.0, worst=35, month=2),
        rest_words=RestWords(
            kind="cool and bright",
            night_c=Span(low=8.0, high=12.0),
            weeks=Span(low=4.0, high=5.0),
            dry="nearly dry",
            trigger="cool nights",
        ),
        water=InGrowthAndRest(growth="much water", rest="a sip"),
        feed=InGrowthAndRest(growth="weak feed", rest="none at all"),
        leaves="evergreen",
        rhythm="spring to autumn",
        first_signs="spots below about 10 °C",
        notes="A note.",
        pets="Said of pets.",
        light_class="medium",
        light_klx=Span(low=22.0, high=32.0),
        shade_pct=Span(low=40.0, high=55.0),
        light_mark=Mark.MEMORY,
        bloom=BloomTime(first_month=4, last_month=6, told_of="made-up one", mark=Mark.FOUND),
        humidity_pct=Span(low=60.0, high=80.0),
        tonight=Tonight(low_c=8.0, dry_low_c=5.0),
    )
    return replace(made, **changes)


def result(*cards: Card, **changes: object) -> CardResult:
    """Cards of an invented place."""
    made = CardResult(
        place=examples.place(),
        record=examples.record(),
        settings=examples.settings(),
        cards=cards or (card(),),
        after_cold="Said of cold.",
        trade="Said of trade.",
    )
    return replace(made, **changes)
