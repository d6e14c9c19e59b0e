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
from suitability.spots.heating import Loss
from suitability.spots.spot import Heater, Spot
from suitability.units import TemperatureUnit

C, F = TemperatureUnit.C, TemperatureUnit.F
HEATING = Heating(
    held_c=12.5,
    watts=709.0,
    watts_high=950.0,
    kwh_typical=409.0,
    kwh_typical_high=480.0,
    kwh_bad_year=515.0,
    kwh_bad_year_high=620.0,
    years=11,
    cost_typical=122.66,
    cost_bad_year_high=186.02,
    heater=None,
)
LOSS = Loss.of(20.0, 3.7, 4.0)
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
        lives_for_sure=False,
        grows_for_sure=False,
        loss=LOSS,
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
    assert text.startswith("Nobile type, porch: hold 36.5 °F to live, 709 to 950 W.")
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


def test_a_median_and_a_bad_year_keep_their_energy_and_cost() -> None:
    """409 to 480 and 515 to 620 kWh, 122.66 to 186.02: none in the other's place."""
    assert heating_sentences(HEATING) == (
        "heater: 709 to 950 W for the coldest hour on record; choose one of the higher number",
        (
            "energy: 409 to 480 kWh in the median year, 515 to 620 in a bad one (one in ten); cost "
            "122.66 to 186.02, from 11 years"
        ),
    )
    free = replace(HEATING, cost_typical=None, cost_bad_year_high=None)
    assert "cost" not in heating_sentences(free)[1]
    few = replace(HEATING, kwh_typical=None, kwh_bad_year=None)
    assert heating_sentences(few)[1].startswith("energy: not known")


@pytest.mark.parametrize(
    ("word", "first", "beside"),
    [
        ("too weak", "the heater of 600 W is too weak; 2.5 °C takes 709 to 950 W.", "too weak"),
        ("perhaps", "the heater of 600 W is perhaps too weak; 2.5 °C takes", "only at the usual"),
        ("enough", "hold 2.5 °C to live, 709 to 950 W.", "600 W is enough"),
    ],
)
def test_a_heater_that_is_too_weak_is_said_first(word: str, first: str, beside: str) -> None:
    """The one of the collection file, in the first sentence and beside the watts."""
    spot = replace(found().spot, heater=Heater(watts=600.0, loss_w_per_k=77.0), held_minimum_c=4.0)
    text = told(found(spot=spot, heating=replace(HEATING, heater=word)))
    assert text.startswith(f"Nobile type, porch: {first}")
    assert beside in text


def test_what_was_assumed_of_the_enclosure_is_said() -> None:
    """The air that leaks is always in it: asked for, or assumed and said; the file's loss is whole.

    20 m² hold at most (20 / 3)^1.5 / 2 = 8.6 m³.
    """
    text = told(found())
    assert "Assumed, since not said: 8.6 m³ of air" in text
    assert "twice on the safe side" in text
    assert f"a loss of {LOSS.high_w_per_k:.1f} instead of {LOSS.w_per_k:.1f} W/K" in text
    asked = Loss.of(20.0, 3.7, 4.0, volume_m3=15.0, air_changes=1.5)
    assert "Assumed" not in told(found(loss=asked))
    assert "the air that leaks must be in it" in told(found(loss=Loss.whole(40.0)))


def test_the_first_sentence_is_the_answer() -> None:
    """Nothing needed; only to grow; a minimum without watts; warmth alone; no answer."""

    def first(**changes: object) -> str:
        return protection_sheet(found(**changes), C).headline

    who = "Nobile type, porch"
    sure = {"lives": True, "lives_for_sure": True}
    assert first(**sure, grows_for_sure=True) == f"{who}: nothing is needed."
    assert first(**sure) == f"{who}: hold 7.5 °C to grow too, 747 to 950 W."
    assert first(heating=None) == f"{who}: hold 2.5 °C to live."
    assert first(to_live=Lift(lift_c=1.0, held_c=None)) == (
        f"{who}: every hour 1.0 °C warmer to live."
    )
    never = Lift(lift_c=None, held_c=None)
    assert "no warmth that was tried" in first(to_live=never)
    assert "cannot be said" in first(to_live=never, years_usable=3)
    doubt = told(found(lives=True))
    assert "At the spot's colder end it does not live out all year." in doubt


def test_heating_to_live_and_to_grow_are_told_apart() -> None:
    """Each with its own minimum and watts; once where they are the same."""
    text = told(found())
    assert "Heating so that it may live, held at 12.5 °C: - heater: 709 to 950 W" in text
    grow = "Heating so that it may grow or rest all year too, held at 13.5 °C:"
    assert f"{grow} - heater: 747 to 950 W" in text
    both = told(found(heating_to_grow=HEATING))
    assert "Heating so that it may live, and grow or rest all year too, held at 12.5 °C:" in both
    assert both.count("- heater:") == 1


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


def test_the_spot_as_it_is_comes_next_with_what_weakens_its_verdict() -> None:
    """Verdict, years, what the name was taken for, and what nobody saw."""
    reason = Reason(code="rests-on-unseen-nights", text="3 nights were not observed.")
    text = told(found(provisional=True, years_usable=9, reason=reason, understood=("As asked.",)))
    assert text.startswith(
        "Nobile type, porch: hold 2.5 °C to live, 709 to 950 W. As asked. At Testing Cove it is "
        "unheated outdoor-seasonal (provisional), from 9 usable plant years. 3 nights were not "
        "observed. To live out all year in 90% of new years: "
    )
    assert "Weather: a gauge; its keepers; free" in text


def test_measures_are_offered_as_far_as_they_may_help() -> None:
    """While a goal is open at the colder end of the spot."""
    assert "Without electricity: - fleece" in told(found())
    sure = {"lives": True, "lives_for_sure": True, "verdict": Verdict.ALL_YEAR}
    assert "Without electricity: - fleece" in told(found(**sure))
    assert "fleece:" not in told(found(**sure, grows_for_sure=True))


def test_the_loss_is_asked_for_only_where_a_minimum_has_to_be_held() -> None:
    """And nobody has said what the enclosure loses."""
    unsaid = {"heating": None, "heating_to_grow": None}
    assert "Say what the enclosure loses" in told(found(**unsaid))
    assert "Say what the enclosure loses" not in told(found())
    nothing = Lift(lift_c=0.0, held_c=None)
    assert "Say what" not in told(found(**unsaid, to_live=nothing, to_grow=nothing))
