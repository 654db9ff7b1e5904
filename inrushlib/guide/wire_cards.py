"""What is measured on wires and plugs: the loop's resistance by the drop along it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from inrushlib.build import Build
from inrushlib.guide import formulas
from inrushlib.guide.card import Asked, CardName, Care, Recipe, Setup
from inrushlib.guide.uncertainty import Instrument, ammeter_for
from inrushlib.parts import field_words

TEST_CURRENT: Final = 2.0  # [A]
CONTACTS: Final = 0.03
"""Share by which a plug differs each time that it goes in [1]; common practice, no source."""


def _drop(name: CardName, key: str, what: str, uniform: Callable[[Build], float | None]) -> Recipe:
    """A four-wire measurement of a loop; ``uniform`` returns its resistance [ohm], None where there is not just one."""

    def resistance(build: Build) -> float:
        found = uniform(build)
        assert found is not None
        return found

    def setup(_: Build) -> Setup:
        return Setup(
            connect=f"{what}, far end shorted, on a bench supply at {TEST_CURRENT:g} A by its current limit. Voltmeter "
            "on the near contacts themselves, inside of where the current comes in (four wires).",
            light="Nothing of the display. Move the plug a little: a reading that jumps is a plug to replace.",
            read_off=f"{field_words(key)} = drop / current",
            cares=(Care.CURRENT_LIMIT, Care.METER_FUSE, Care.ATTENDED),
        )

    return Recipe(
        name=name,
        keys=lambda build: () if uniform(build) is None else (key,),
        asked=lambda _: (
            Asked(name="drop", unit="V", instrument=lambda _: Instrument.MILLIVOLTMETER),
            Asked(name="current", unit="A", instrument=ammeter_for),
        ),
        expect=lambda build: (TEST_CURRENT * resistance(build), TEST_CURRENT),
        formula=lambda _: lambda r, _: (formulas.drop_resistance(*r),),
        setup=setup, method=CONTACTS,
    )  # fmt: skip


def _only(values: tuple[float, ...]) -> float | None:
    """The value that all have; None where they differ, for one reading does not tell them all."""
    return values[0] if len(set(values)) == 1 and values[0] > 0 else None


LEAD_DROP = _drop(
    CardName.LEAD_DROP, "lead.resistance", "The lead with its plug, out and back", lambda build: build.lead.resistance
)
FEED_DROP = _drop(
    CardName.FEED_DROP, "wiring.feed_resistance", "One feed with its contacts, out and back",
    lambda build: _only(build.wiring.feed_resistance),
)  # fmt: skip
HOP_DROP = _drop(
    CardName.HOP_DROP, "wiring.hop_resistance", "One jumper between sections with its contacts, out and back",
    lambda build: _only(build.wiring.hop_resistance),
)  # fmt: skip

WIRE_CARDS = (LEAD_DROP, FEED_DROP, HOP_DROP)
