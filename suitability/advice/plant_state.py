"""
What the state of one plant does to the needs of its group: first winter, buds, a known difference.

Every change is told beside the verdict that it moves. The rules are reasoned: growers report losses
in a first winter and harm to soft growth, without numbers.
"""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct, field
from msgspec.structs import replace

from suitability.groups.group import Caution, Group, Needs
from suitability.quantities import Celsius, GivenDifference, Result
from suitability.spots.plants import LARGEST_SHIFT_C, Plant

FIRST_WINTER_LIFT_C = 2.0  # K, of the chill base; reasoned


class PlantState(Result, frozen=True, kw_only=True):
    """The state of a plant."""

    first_winter: Annotated[bool, Meta(description="It has not yet spent a winter here.")] = False
    in_bud: bool = False
    shift_c: Annotated[
        GivenDifference,
        Meta(description="How much tenderer than its group (above 0), or hardier, from -3 to 3."),
    ] = 0.0
    damage_c: Annotated[GivenDifference, Meta(description="What noted damage adds to that.")] = 0.0

    @property
    def total_shift_c(self) -> float:
        """Shift and damage together, never beyond 3 K."""
        return max(-LARGEST_SHIFT_C, min(LARGEST_SHIFT_C, self.shift_c + self.damage_c))


class Subject(Struct, frozen=True, kw_only=True):
    """
    Who is judged: a group, or a plant of it.

    Attributes
    ----------
    group
    caution
        Which end of the group's ranges the verdict takes.
    state
        Of the plant; the usual one for a group.
    damage
        Days on which harm was noted, with the grower's words.
    evergreen
        An evergreen plant recovers from chill once, and weakens with each repeat.
    plants
        Of the collection, that are judged alike; none for a group.
    caveat
        Why the group is only a guess at what it is; empty where it is known.
    """

    group: Group
    caution: Caution = Caution.USUAL
    state: PlantState = field(default_factory=PlantState)
    damage: tuple[tuple[date, str], ...] = ()
    evergreen: bool | None = None
    plants: tuple[Plant, ...] = ()
    caveat: str = ""

    def at(self, spot: str) -> "Subject | None":
        """The subject at a spot: a group stands at every one, a plant without a spot too."""
        if not self.plants:
            return self
        here = tuple(plant for plant in self.plants if plant.spot in (None, spot))
        return replace(self, plants=here) if here else None

    def needs(self, damage_c: float = 0.0) -> tuple[Needs, tuple["StateChange", ...], PlantState]:
        """
        What it needs in its state, what the state has changed, and the state.

        Parameters
        ----------
        damage_c : K
            How much tenderer noted damage shows it to be.
        """
        state = replace(self.state, damage_c=damage_c)
        needs, changes = apply_state(self.group.needs(self.caution), state)
        named = replace(
            needs,
            plants=tuple(plant.name for plant in self.plants),
            numbers=tuple(plant.number for plant in self.plants),
            caveat=self.caveat,
            in_state=bool(self.damage) or self.state != PlantState(),
        )
        return named, changes, state


class StateChange(Result, frozen=True, kw_only=True):
    """One threshold that the state of a plant has moved."""

    field: Annotated[str, Meta(description="Its name among the thresholds of the group.")]
    causes: Annotated[
        tuple[str, ...], Meta(description="`first-winter`, `in-bud`, `shift` and `damage`.")
    ]
    group_c: Celsius
    plant_c: Celsius


def apply_state(needs: Needs, state: PlantState) -> tuple[Needs, tuple[StateChange, ...]]:
    """
    The needs of a plant in a state, and what has changed.

    A first winter raises the chill base by 2 °C; in a first winter and in bud the wet limit counts
    for a dry plant too; a shift moves both limits and the chill base. The rest and the floor stay.

    Parameters
    ----------
    needs
        Of its group.
    """
    shift = state.total_shift_c
    early = ("first-winter",) if state.first_winter else ()
    soft = (*early, "in-bud") if state.in_bud else early
    moved = tuple(
        word for word, by in (("shift", state.shift_c), ("damage", state.damage_c)) if by != 0.0
    )
    lift = FIRST_WINTER_LIFT_C if early else 0.0
    new = {
        "limit_c": ((needs.limit_wet_c if soft else needs.limit_c) + shift, (*soft, *moved)),
        "limit_wet_c": (needs.limit_wet_c + shift, moved),
        "chill_base_c": (needs.chill_base_c + lift + shift, (*early, *moved)),
    }
    changes = tuple(
        StateChange(field=name, causes=causes, group_c=getattr(needs, name), plant_c=temp_c)
        for name, (temp_c, causes) in new.items()
        if temp_c != getattr(needs, name)
    )
    return replace(needs, **{name: temp_c for name, (temp_c, _) in new.items()}), changes
