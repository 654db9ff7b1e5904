"""The parts of a build in the order in which the current flows, one of them open."""

from __future__ import annotations

from typing import Any

import ipywidgets as w

from inrushlib.text import for_html
from widgets.controls import Controls
from widgets.groups import group_of
from widgets.state import BuildState
from widgets.summaries import NONE, summary


class Node:
    """One part: its head, what it is in a few words, and its values while it is open."""

    def __init__(self, state: BuildState, name: str) -> None:
        self.state, self.name = state, name
        self.head = w.ToggleButton(description=name)
        self.head.add_class("wb-node-head")
        self.sum = w.HTML()
        self.sum.add_class("wb-node-sum")
        self.box = w.VBox([self.head, self.sum])
        self.box.add_class("wb-node")
        self.refresh()

    def refresh(self) -> None:
        """Say what the part is; where one of its values is not accepted, say that instead."""
        amiss = sum(group_of(key) == self.name for key in self.state.refused)
        words = summary(self.state.build, self.name)
        _mark(self.box, "wb-absent", words == NONE)
        _mark(self.box, "wb-amiss", amiss > 0)
        if amiss:
            words = f"{amiss} not accepted"
        self.sum.value = f"<div>{for_html(words)}</div>"

    def show(self, values: w.DOMWidget | None) -> None:
        """Open with these values, or close."""
        self.head.value = values is not None
        self.box.children = [self.head, self.sum, *([] if values is None else [values])]


class Chain:
    """All parts of a build, tied to a state.

    Parameters
    ----------
    state : BuildState
        Has the build.
    controls : Controls
        Make the values of a part.
    """

    def __init__(self, state: BuildState, controls: Controls) -> None:
        self.state, self.controls = state, controls
        self.nodes = {name: Node(state, name) for name in controls.names}
        self._turning = False
        for node in self.nodes.values():
            node.head.observe(self._pressed, "value")
        self.box = w.VBox([node.box for node in self.nodes.values()])
        self.box.add_class("wb-chain")
        self.box.add_class("wb-card")
        state.observe(self.refresh, ["shown", "refused"])
        self.open(controls.names[0])

    def open(self, name: str | None) -> None:
        """Open a part and close the others; None closes all."""
        self._turning = True
        self.controls.close()
        for each, node in self.nodes.items():
            node.show(self.controls.open(name) if each == name and name is not None else None)
        self._turning = False

    def refresh(self, _: Any = None) -> None:
        """The build changed."""
        for node in self.nodes.values():
            node.refresh()

    def _pressed(self, change: Any) -> None:
        if self._turning:
            return
        name = next(name for name, node in self.nodes.items() if node.head is change["owner"])
        self.open(name if change["new"] else None)


def _mark(box: w.DOMWidget, name: str, wanted: bool) -> None:
    (box.add_class if wanted else box.remove_class)(name)
