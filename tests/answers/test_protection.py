"""The sheet of protection: every number in its place, every caution in full."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from suitability.advice.protection import (
    HEATING_CAUTIONS,
    Heating,
    Lift,
    Measure,
    Outage,
    Protection,
)
from suitability.advice.result import Credit, Reason, SpotEnds
from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.answers.protection import (
    goal_sentence,
    heating_sentences,
    measure_sentence,
    outage_sentence,
    protection_sheet,
)
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.places import Place
from suitability.spots.spot import Spot
from suitability.units import TemperatureUnit

C, F = TemperatureUnit.C, TemperatureUnit.F
HEATING = Heating(
    held_c=12.5,
    loss_w_per_k=77.04,
    watts=709.0,
    watts_bad_year=650.0,
    kwh_typical=409.0,
    kwh_bad_year=515.0,
    years=11,
    cost_typical=122.66,
    cost_bad_year=154.38,
)
OUTAGE = Outage(hours=6, lowest_c=3.3, below_limit_c=4.7)
MEASURE = Measure(
    name="fleece",
    verdict=Verdict.SEASONAL,
    spot_ends=SpotEnds(low=Verdict.INDOOR, high=Verdict.ALL_YEAR),
    lives=False,
)


def found(**changes: object) -> Protection:
    """A group that neither lives nor grows as it is; every number another."""
    made = Protection(
        place=Place(name="Testing Cove", latitude=35.0, longitude=-22.0),
        spot=Spot(name="porch"),
        group="nobile",
        group_name="Nobile type",
        promise=0.9,
        verdict=Verdict.SEASONAL,
        lives=False,
        reason=None,
        unseen_nights=0,
        provisional=False,
        years_usable=10,
        to_live=Lift(lift_c=1.0, held_c=2.5),
        to_grow=Lift(lift_c=4.0, held_c=7.5),
        measures=(MEASURE,),
        heating=HEATING,
        heating_to_grow=replace(HEATING, held_c=13.5, watts=747.0, kwh_typical=498.0),
        outage=OUTAGE,
        limit_c=8.0,
        cautions=HEATING_CAUTIONS,
        credit=Credit(source="a gauge", licence="free", attribution="its keepers"),
    )
    return replace(made, **changes)


def told(protection: Protection, units: TemperatureUnit = C) -> str:
    text = render_terminal(protection_sheet(protection, units), width=80, colour=False)
    assert max(map(len, text.splitlines())) <= 80
    return " ".join(text.split())


def test_each_goal_has_its_own_lift_and_minimum() -> None:
    """To live and to grow, a lift and a held minimum: four numbers."""
    text = told(found())
    assert (
        "To live out all year in 90% of new years: every hour 1.0 °C warmer, or a held minimum of "
        "2.5 °C." in text
    )
    assert (
        "To grow or rest all year too, in 90% of new years: every hour 4.0 °C warmer, or a held "
        "minimum of 7.5 °C." in text
    )


def test_a_lift_is_a_difference_and_a_minimum_a_temperature() -> None:
    """1 °C warmer is 1.8 °F warmer, not 33.8; 2.5 °C held is 36.5 °F."""
    text = told(found(), F)
    assert "every hour 1.8 °F warmer, or a held minimum of 36.5 °F" in text
    assert "held at 54.5 °F" in text
    assert "fall to 37.9 °F, 8.5 °F below the wet limit" in text
    assert "°C" not in text


def test_a_goal_that_is_reached_or_cannot_be_said() -> None:
    """Nothing; too few years; no warmth that helps."""

    def said(lift: Lift, years: int = 10, *, reached: bool = False) -> str:
        return goal_sentence("X", lift, C, years=years, reached=reached)

    never = Lift(lift_c=None, held_c=None)
    assert said(never, reached=True) == "X: nothing is needed."
    assert said(never) == "X: no warmth that was tried is enough (heat may be what harms it)."
    assert said(never, years=7) == (
        "X: cannot be said. The record holds 7 usable plant years, 8 are needed to speak of a "
        "whole year."
    )
    assert said(Lift(lift_c=2.0, held_c=None)) == "X: every hour 2.0 °C warmer."
    assert said(Lift(lift_c=None, held_c=2.0)) == "X: a held minimum of 2.0 °C."


def test_a_typical_and_a_bad_year_keep_their_energy_and_cost() -> None:
    """409 and 515 kWh, 122.66 and 154.38: none in the other's place."""
    assert heating_sentences(HEATING) == (
        "heater: 709 W for the coldest hour on record; choose one above that",
        (
            "energy: 409 kWh in a typical year, 515 in one of ten (cost 122.66 and 154.38), from "
            "11 years"
        ),
    )
    free = replace(HEATING, cost_typical=None, cost_bad_year=None)
    assert "cost" not in heating_sentences(free)[1]
    few = replace(HEATING, kwh_typical=None, kwh_bad_year=None)
    assert heating_sentences(few)[1].startswith("energy: not known")


def test_heating_to_live_and_to_grow_are_told_apart() -> None:
    """Each with its own minimum and watts."""
    text = told(found())
    assert "Heating so that it may live, held at 12.5 °C, loss 77.0 W/K: - heater: 709 W" in text
    grow = "Heating so that it may grow or rest all year too, held at 13.5 °C, loss 77.0 W/K:"
    assert f"{grow} - heater: 747 W" in text


def test_a_measure_tells_both_ends_and_whether_it_is_enough() -> None:
    """From its colder to its warmer end, and only where it lives there."""
    assert measure_sentence(MEASURE) == (
        "fleece: outdoor-seasonal (from its colder to its warmer end: indoor-only to "
        "outdoor-all-year)"
    )
    sure = replace(
        MEASURE,
        verdict=Verdict.ALL_YEAR,
        spot_ends=SpotEnds(low=Verdict.ALL_YEAR, high=Verdict.ALL_YEAR),
        lives=True,
    )
    assert measure_sentence(sure) == (
        "fleece: outdoor-all-year; enough to live, also at its colder end"
    )


def test_a_power_cut_is_told_beside_the_limit_in_force() -> None:
    """The wet limit without a roof, the dry one with it; with a lag or none."""
    assert outage_sentence(OUTAGE, found(), C) == (
        "A power cut of 6 h at the worst hour on record would let it fall to 3.3 °C, 4.7 °C below "
        "the wet limit (no lag is known of the spot)."
    )
    roofed = found(spot=Spot(name="porch", roofed=True, damping_hours=2.5))
    assert outage_sentence(replace(OUTAGE, below_limit_c=0.0), roofed, C) == (
        "A power cut of 6 h at the worst hour on record would let it fall to 3.3 °C, above the dry "
        "limit (time constant 2.5 h)."
    )


@pytest.mark.parametrize("units", [C, F])
def test_cautions_stand_in_full_wherever_a_heater_is_spoken_of(units: TemperatureUnit) -> None:
    """On a terminal word for word, and on a page; never shortened, never a matter of detail."""
    text = told(found(), units)
    sheet = protection_sheet(found(), units)
    brief = " ".join(render_terminal(sheet, width=80, colour=False, details=False).split())
    page = render_page(sheet)
    for caution in HEATING_CAUTIONS:
        assert f"- {caution}" in text
        assert f"- {caution}" in brief
        assert f"<li>{caution}</li>" in page
    assert "Nothing here is a promise that a plant survives; see docs/safety.md." in text
    assert words.CAUTIONS in text
    assert "Cautions" not in told(found(cautions=()))


def test_the_spot_as_it_is_comes_first_with_what_weakens_its_verdict() -> None:
    """Verdict, years, what the name was taken for, and what nobody saw."""
    reason = Reason(code="rests-on-unseen-nights", text="3 nights were not observed.")
    text = told(found(provisional=True, years_usable=9, reason=reason, understood=("As asked.",)))
    assert text.startswith(
        "Nobile type at the spot porch, Testing Cove: unheated outdoor-seasonal (provisional), "
        "from 9 usable plant years. To live out all year in 90% of new years: "
    )
    assert "Weather: a gauge; its keepers; free" in text


def test_measures_are_offered_as_far_as_they_may_help() -> None:
    """While a goal is open; where both are reached, only if the range leaves doubt."""
    assert "Without electricity: - fleece" in told(found())
    reached = {"lives": True, "verdict": Verdict.ALL_YEAR}
    doubt = told(found(**reached))
    assert "If you want more warmth all the same, without electricity:" in doubt
    sure = SpotEnds(low=Verdict.ALL_YEAR, high=Verdict.ALL_YEAR)
    assert "fleece:" not in told(found(**reached, measures=(replace(MEASURE, spot_ends=sure),)))


def test_the_loss_is_asked_for_only_where_a_minimum_has_to_be_held() -> None:
    """And nobody has said what the enclosure loses."""
    unsaid = {"heating": None, "heating_to_grow": None}
    assert "Say what the enclosure loses" in told(found(**unsaid))
    assert "Say what the enclosure loses" not in told(found())
    nothing = Lift(lift_c=0.0, held_c=None)
    assert "Say what" not in told(found(**unsaid, to_live=nothing, to_grow=nothing))
