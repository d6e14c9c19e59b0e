"""
How to water and feed in each phase, and what to look for: the catalogue's words, put to the phase.

The catalogue says how a group is watered and fed in growth and in its rest. Slowing down leads from
the one to the other, waking leads back; those two, and what to look for, are common practice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.growth_year import Phase
from suitability.groups.group import RestNeed

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.groups.group import Group
    from suitability.groups.words import Words

__all__ = ["Care", "tend"]

UNSAID = "not said in its catalogue"


class Care(Struct, frozen=True, kw_only=True):
    """Water, feed and what to look for, in words; mostly those of the catalogue."""

    water: str
    feed: str
    look_for: str


def tend(phase: Phase, group: Group, words: Words, *, before_rest: bool) -> Care:
    """
    Water, feed and what to look for.

    Parameters
    ----------
    before_rest
        Whether a rest follows a slowing; otherwise it is a pause by cold or short days.
    """
    ways: dict[Phase, Callable[[], Care]] = {
        Phase.GROWING: lambda: _growing(words),
        Phase.SLOWING: lambda: _tapering(words) if before_rest else _pausing(group, words),
        Phase.RESTING: lambda: _resting(group, words),
        Phase.WAKING: lambda: _waking(group, words),
    }
    return ways[phase]()


def _said(text: str) -> str:
    return text or UNSAID


def _growing(words: Words) -> Care:
    return Care(
        water=_said(words.water_growth),
        feed=_said(words.feed_growth),
        look_for="new shoots and roots with green tips; a pot that dries sooner than usual",
    )


def _tapering(words: Words) -> Care:
    return Care(
        water=f"less each week; in the rest then: {_said(words.water_rest)}",
        feed=f"weaker, less each week; in the rest then: {_said(words.feed_rest)}",
        look_for="the last leaf of each shoot, shoots that fill out, roots whose tips close",
    )


def _pausing(group: Group, words: Words) -> Care:
    """A group with a rest is not kept as dry in a mere pause; the words of others are for one."""
    rests = group.rest is not None and group.rest.needed is not RestNeed.NO
    water, feed = _said(words.water_rest), _said(words.feed_rest)
    return Care(
        water=f"less than in growth; at the coolest: {water}" if rests else water,
        feed=f"little; at the coolest: {feed}" if rests else feed,
        look_for="pots that stay wet for long; soft spots; shoots that stop short",
    )


def _resting(group: Group, words: Words) -> Care:
    leaves = "leaves may yellow and fall, which is no harm"
    if words.evergreen:
        leaves = "leaves stay; if they fall it was too cold or too wet"
    dry = group.rest is not None and group.rest.must_be_dry
    shrivel = "light creases are usual, deep ones ask for a sip" if dry else "no deep creases"
    return Care(
        water=_said(words.water_rest),
        feed=_said(words.feed_rest),
        look_for=f"{leaves}; {shrivel}",
    )


def _waking(group: Group, words: Words) -> Care:
    rest = group.rest
    signs = "new shoots and root tips"
    if rest is not None and rest.trigger:
        signs = "swelling buds, then new shoots and root tips"
    growth = _said(words.water_growth)
    if rest is not None and rest.must_be_dry:
        water = f"a little at a time; in full only once roots show: {growth}"
        signs += "; full water before them does harm"
    else:
        water = f"more as shoots and roots appear, towards: {growth}"
    return Care(
        water=water,
        feed=f"none until new roots show; then: {_said(words.feed_growth)}",
        look_for=signs,
    )
