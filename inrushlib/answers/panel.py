"""The display in steady state: its pixels, its wires, its pictures.

``state_blocks``     the answer in words, and the figures behind it
``picture_blocks``   voltage, brightness, and the current along the chain
``feeding_blocks``   ways of feeding side by side, and which to take
"""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import Block, Facts, Picture, Strong, Table, Value, Verdict, Words, sentence
from inrushlib.build import Build
from inrushlib.panel import PanelState
from inrushlib.panel.arrangement import Arrangement
from inrushlib.parts.place import PlaceKind
from inrushlib.quantities import format_quantity, in_percent
from inrushlib.search.feeds import Feeding

WIDTH = 10.0  # [inch]
HEIGHTS = (1.8, 7.0)  # [inch], least and most of a picture of the panel
AROUND = 1.3  # [inch] for legend and colour bar
LINE = 0.17  # [inch]
CHAIN_HEIGHT = 3.0  # [inch]


def state_blocks(build: Build, state: PanelState) -> tuple[Block, ...]:
    """Return how the worst pixel fares, and the figures of the panel.

    Parameters
    ----------
    build : Build
        The build [SI].
    state : PanelState
        Its panel in one picture.
    """
    head: Words = (f"the worst pixel, number {state.worst_pixel}, gets ", Strong(Value(state.lowest_voltage, "V")))
    adapter: Words = (
        "The adapter gives ", Value(state.adapter_current, "A"), "; its limit is ", Value(state.adapter_limit, "A"),
        ", and it is at it: the whole panel sags." if state.limiting else ".",
    )  # fmt: skip
    return Verdict(head, (f"{dimmest(state)}.", adapter), not state.limiting), Facts(_figures(build, state), "Figures")


def dimmest(state: PanelState) -> str:
    """Return how bright the dimmest pixel is, in words.

    Parameters
    ----------
    state : PanelState
        The panel in one picture.
    """
    return f"the dimmest pixel gives {in_percent(state.lowest_brightness)} of the best-fed one's light"


def _figures(build: Build, state: PanelState) -> tuple[tuple[str, Words], ...]:
    given = state.adapter_voltage * state.adapter_current
    lost = given - state.losses[PlaceKind.PIXELS] - state.losses[PlaceKind.CONTROLLER]
    rows: list[tuple[str, Words]] = [
        (
            "adapter's output, bus, root of the panel",
            (
                Value(state.adapter_voltage, "V"), ", ", Value(state.bus_voltage, "V"), ", ",
                Value(state.root_voltage, "V"),
            ),
        ),
        ("best-fed pixel", (Value(state.highest_voltage, "V"), f", number {state.best_pixel}")),
        ("worst pixel", (Value(state.lowest_voltage, "V"), f", number {state.worst_pixel}")),
        ("largest colour shift", f"{in_percent(state.colour_shift.max(), 1)} of a pixel's light in another channel"),
        ("lead carries", Value(state.lead_current, "A")),
    ]  # fmt: skip
    rows += [
        (f"feed to section {section} carries", Value(float(current), "A"))
        for section, current in zip(build.wiring.feeds, state.feed_currents, strict=True)
    ]
    rows.append(("largest current between sections", Value(state.largest_hop_current, "A")))
    rows.append(("lost on the way to the pixels", (Value(lost, "W"), " of ", Value(given, "W"))))
    rows += [(f"heat: {kind.together}", Value(power, "W")) for kind, power in state.losses.items() if power > 0]
    return tuple(rows)


def picture_blocks(state: PanelState, arrangement: Arrangement) -> tuple[Picture, ...]:
    """Return the pictures of a panel.

    Parameters
    ----------
    state : PanelState
        The panel in one picture.
    arrangement : Arrangement
        How its pixels lie.
    """
    # Long to import, and the command has no use for it.
    from inrushlib.plots import draw_brightness, draw_chain_current, draw_voltage
    from inrushlib.plots.chain import ChainLayers
    from inrushlib.plots.panel import brightness_layers, voltage_layers

    rows, columns = arrangement.shape
    # Beside a single column of sections stand their names, a line each.
    named = LINE * len(arrangement.order) if len(arrangement.order[0]) == 1 else 0.0

    def tall(width: float) -> float:
        return min(max(max(width * rows / columns, named) + AROUND, HEIGHTS[0]), HEIGHTS[1])

    lowest, highest = (format_quantity(v, "V", digits=3) for v in (state.lowest_voltage, state.highest_voltage))
    return (
        Picture(
            f"Voltage of each pixel, {lowest} to {highest}; the table has the figures.",
            lambda axes, scheme: draw_voltage(state, axes, arrangement, scheme),
            WIDTH, tall(WIDTH), "Voltage of each pixel", tall=tall, layers=lambda: voltage_layers(state, arrangement),
        ),
        Picture(
            f"Light of each pixel, {in_percent(state.lowest_brightness)} to 100 %.",
            lambda axes, scheme: draw_brightness(state, axes, arrangement, scheme),
            WIDTH, tall(WIDTH), "Brightness of each pixel", tall=tall,
            layers=lambda: brightness_layers(state, arrangement),
        ),
        Picture(
            "Current from each pixel to the next.",
            lambda axes, scheme: draw_chain_current(state, axes, scheme),
            WIDTH, CHAIN_HEIGHT, "Current along the chain", layers=lambda: ChainLayers(state),
        ),
    )  # fmt: skip


def feeding_blocks(ways: Sequence[Feeding], best: Feeding, stay: bool) -> tuple[Block, ...]:
    """Return ways of feeding side by side, and which to take.

    Parameters
    ----------
    ways : sequence of Feeding
        Side by side, the first as built.
    best : Feeding
        The one to take.
    stay : bool
        Whether the feeds are better left as they are.
    """
    heads = (
        "way", "feeds at sections", "start", "worst pixel", "spread", "dimmest pixel", "largest feed",
        "largest between sections", "adapter",
    )  # fmt: skip
    rows = tuple(_way(way, way is ways[0]) for way in ways)
    chosen = next((i for i, way in enumerate(ways) if way.feeds == best.feeds), None)
    caption = "Where to feed, by the worst pixel; every feed wire alike, save as built"
    return _advice(best, stay), Table(heads, rows, caption, tuple(range(3, 9)), None if stay else chosen)


def _advice(best: Feeding, stay: bool) -> Verdict:
    said: list[Words] = []
    if best.start is None:
        said.append("its start cannot be computed, so that this is no recommendation.")
    else:
        said.append(sentence(f"start {best.start.words}"))
    if stay:
        return Verdict("leave the feeds as they are", ("none of these is better without starting worse.",), None)
    place = "section" if len(best.feeds) == 1 else "sections"
    head: Words = (f"feed {place} ", Strong(", ".join(map(str, best.feeds))))
    return Verdict(head, (("the worst pixel then gets ", Value(best.lowest_voltage, "V"), "."), *said), None)


def _way(way: Feeding, own: bool) -> tuple[Words, ...]:
    start = "cannot be computed" if way.start is None else way.start.after.words
    if way.start is not None and not own and way.worsens:
        start += " (worse: not recommended)"
    return (
        way.name, ", ".join(map(str, way.feeds)), start, Value(way.lowest_voltage, "V"),
        Value(way.voltage_spread, "V"), f"{in_percent(way.lowest_brightness)}", Value(way.largest_feed_current, "A"),
        Value(way.largest_hop_current, "A"), Value(way.adapter_current, "A"),
    )  # fmt: skip
