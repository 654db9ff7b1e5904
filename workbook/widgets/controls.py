"""Controls for the keys of a build, in groups: a field whose rule is its slider, a choice, a box to tick."""

from __future__ import annotations

from typing import Any

import ipywidgets as w

from inrushlib.build import Build, build_keys
from inrushlib.margins import Edge
from inrushlib.parts import ValueKind, keys_in_words, part_classes
from inrushlib.text import for_html
from widgets.groups import GROUPS, ClassChoice, Control, Heading, Item, Slide, Tick, group_names, keys_of, rest_of
from widgets.margin import MarginState
from widgets.observed import OBSERVATIONS, ObservedFields
from widgets.problems import begun
from widgets.signs import mark_of, signs
from widgets.state import BuildState
from widgets.values import (
    STEP,
    at_position,
    default_of,
    label_of,
    position,
    shown,
    shown_number,
    tooltip_of,
    typed,
    written,
)

NO_CLASS = "none"
CLASS_TIP = "typical values of a part; they take the place of those that were given. Their ranges: inrush parts"


class KeyControl:
    """Where it comes from, name, field and slider of one key, tied to a state's build."""

    def __init__(self, state: BuildState, control: Control) -> None:
        self.state, self.control, self.key = state, control, control.key
        self.info = build_keys()[self.key]
        self.optional = type(state.build).model_fields[self.info.table].default is None
        self._moving = False
        tip = for_html(tooltip_of(self.key))
        label = control.label or label_of(self.key)
        self.origin = w.HTML()
        self.origin.add_class("wb-origin")
        self.label = w.HTML(f'<span class="wb-name" title="{tip}">{for_html(label)}</span>')
        self.why = w.HTML()
        self.why.add_class("wb-why")
        self.flip = w.HTML()
        self.flip.add_class("wb-flip")
        self.field = self._make_field()
        self.field.observe(self.entered, "value")
        parts: list[Any] = [self.origin, self.label, self.field]
        self.slider: Any = None
        if isinstance(control, Slide):
            self.slider = w.FloatSlider(min=0, max=100, step=STEP, readout=False)
            self.slider.observe(self.slid, "value")
            parts.append(self.slider)
        self.box = w.Box([*parts, *([] if self.slider is None else [self.flip]), self.why])
        self.box.add_class("wb-key")
        if self.slider is None:
            self.box.add_class("wb-choice")
        self.refresh()

    def _make_field(self) -> Any:
        if self.info.kind is ValueKind.YES_NO:
            return w.Checkbox(description="", indent=False)
        if self.info.kind is ValueKind.CHOICE:
            return w.Dropdown(options=self.info.choices)
        return w.Text(continuous_update=False, placeholder=default_of(self.info))

    def refresh(self, _: Any = None) -> None:
        """Show the build's value; what was typed and is not accepted stands as it was typed."""
        build = self.state.build
        refused = self.key in self.state.refused
        (self.box.add_class if refused else self.box.remove_class)("wb-refused")
        why = begun(signs(keys_in_words(self.state.refusals.get(self.key, "")))) if refused else ""
        self.why.value = for_html(why)
        self.origin.value = mark_of(build.origin(self.key))
        absent = self.optional and getattr(build, self.info.table) is None
        self._moving = True
        try:
            for widget in (self.field, self.slider):
                if widget is not None:
                    widget.disabled = absent
            if not refused:
                self._show(build)
        finally:
            self._moving = False

    def _show(self, build: Build) -> None:
        value = build.get(self.key)
        if self.info.kind is ValueKind.YES_NO:
            self.field.value = bool(value)
        elif self.info.kind is not ValueKind.CHOICE:
            self.field.value = shown(build, self.key)
        elif value is not None:
            self.field.value = value
        place = self._place(build)
        if self.slider is not None and place is not None:
            self.slider.value = place

    def show_edge(self, edge: Edge | None) -> None:
        """Hatch the stretch of the slider where the answer turns; None takes that away."""
        if self.slider is None or not isinstance(self.control, Slide):
            return
        if edge is None:
            self.flip.value = ""
            return
        at = position(self.control, edge.value)
        side, words = ("wb-above", "above") if edge.above else ("wb-below", "below")
        wide = 100 - at if edge.above else at
        value = signs(shown_number(edge.value, self.info))
        said = for_html(f"the answer turns {words} {value}")
        self.flip.value = (
            f'<div class="{side}" style="width: {wide:.1f}%" role="img" aria-label="{said}" title="{said}"></div>'
        )

    def _place(self, build: Build) -> float | None:
        """Where the slider should be for the build's value."""
        value = build.get(self.key)
        number = value[0] if isinstance(value, tuple) and value else value
        if number is None or number == () or not isinstance(self.control, Slide):
            return None
        return position(self.control, float(number))

    def slid(self, change: Any) -> None:
        """The slider was moved."""
        # The page echoes where it put the handle; only a handle that was moved away counts.
        if self._moving or not isinstance(self.control, Slide) or self._place(self.state.build) == change["new"]:
            return
        self._submit(written(at_position(self.control, change["new"]), self.info))

    def entered(self, change: Any) -> None:
        """A value was typed or chosen."""
        if self._moving:
            return
        value = change["new"]
        is_text = isinstance(value, str) and self.info.kind is not ValueKind.CHOICE
        self._submit(typed(self.key, value) if is_text else value)

    def _submit(self, value: Any) -> None:
        if self.state.change({self.key: value}):
            self.refresh()  # the field shows the value as it was understood, also where nothing changed


class ClassControl:
    """The class of a part: choosing one takes its values in place of those that were given."""

    def __init__(self, state: BuildState, item: ClassChoice) -> None:
        self.state, self.table = state, item.table
        self._moving = False
        label = w.HTML(f'<span class="wb-name" title="{CLASS_TIP}">{for_html(item.label)}</span>')
        self.field = w.Dropdown(options=[(NO_CLASS, ""), *((name, name) for name in part_classes(item.table))])
        self.field.observe(self.chosen, "value")
        blank = w.HTML()
        blank.add_class("wb-origin")
        self.box = w.Box([blank, label, self.field])
        self.box.add_class("wb-key")
        self.box.add_class("wb-choice")
        self.refresh()

    def refresh(self, _: Any = None) -> None:
        """Show the build's class."""
        self._moving = True
        self.field.disabled = getattr(self.state.build, self.table) is None
        self.field.value = self.state.build.class_of(self.table) or ""
        self._moving = False

    def chosen(self, change: Any) -> None:
        """A class was chosen, or none, which keeps the values."""
        if not self._moving:
            self.state.change(self.state.build.class_changes(self.table, change["new"] or None))


class PartTick:
    """Whether there is such a part at all."""

    def __init__(self, state: BuildState, table: str, words: str) -> None:
        self.state, self.table = state, table
        self._moving = False
        self.tick = w.Checkbox(description=words, indent=False)
        self.tick.add_class("wb-part")
        self.tick.observe(self.ticked, "value")
        self.refresh()

    def refresh(self, _: Any = None) -> None:
        """Show whether the build has one."""
        self._moving = True
        self.tick.value = getattr(self.state.build, self.table) is not None
        self._moving = False

    def ticked(self, change: Any) -> None:
        """Put the part in with its defaults, or take it out."""
        if not self._moving:
            self.state.change({self.table: {} if change["new"] else None})


class Group:
    """The controls of one part of the chain; those needed less often are made when they are asked for."""

    def __init__(self, state: BuildState, name: str) -> None:
        self.state, self.name = state, name
        self.keys: dict[str, KeyControl] = {}
        self.parts: dict[str, PartTick] = {}
        self.classes: dict[str, ClassControl] = {}
        rows = [self._row(item) for item in GROUPS.get(name, ())]
        self.rest = rest_of(name)
        self.more = w.ToggleButton(description=f"{len(self.rest)} more values")
        self.more.observe(self.toggled, "value")
        self.reset = w.Button(description="Back to typical", tooltip=f"Take every value of {name} back to its default")
        self.reset.on_click(lambda _: self.state.reset(keys_of(name)))
        self.extra = w.Box([])
        self.extra.add_class("wb-rows")
        main = w.Box(rows)
        main.add_class("wb-rows")
        tools = w.HBox([*([self.more] if self.rest else []), self.reset])
        tools.add_class("wb-tools")
        self.observed = [ObservedFields(state, about) for about in OBSERVATIONS.get(name, ())]
        self.box = w.VBox([main, *(each.box for each in self.observed), self.extra, tools])
        if not rows:
            self.more.value = True

    def _row(self, item: Item) -> w.DOMWidget:
        if isinstance(item, Heading):
            words = w.HTML(for_html(item.words))
            words.add_class("wb-heading")
            return words
        if isinstance(item, Tick):
            self.parts[item.table] = PartTick(self.state, item.table, item.words)
            return self.parts[item.table].tick
        if isinstance(item, ClassChoice):
            self.classes[item.table] = ClassControl(self.state, item)
            return self.classes[item.table].box
        self.keys[item.key] = KeyControl(self.state, item)
        return self.keys[item.key].box

    def toggled(self, change: Any) -> None:
        """Show or hide the values needed less often."""
        self.more.description = "Fewer values" if change["new"] else f"{len(self.rest)} more values"
        self.extra.children = [self._row(item) for item in self.rest] if change["new"] else []
        if not change["new"]:
            for item in self.rest:
                self.keys.pop(item.key, None)

    def refresh(self, _: Any = None) -> None:
        """Show the build as it is now."""
        for part in self.parts.values():
            part.refresh()
        for choice in self.classes.values():
            choice.refresh()
        for control in self.keys.values():
            control.refresh()


class Controls:
    """All groups, made when they are first opened; only the open one is kept up to date."""

    def __init__(self, state: BuildState, margin: MarginState) -> None:
        self.state, self.margin = state, margin
        self.groups: dict[str, Group] = {}
        self.names = group_names()
        self.current = ""
        state.observe(self.refresh, ["shown", "refused", "refusals"])
        margin.observe(self.show_edges, "edges")

    def open(self, name: str) -> w.DOMWidget:
        """Return the widgets of a group."""
        self.current = name
        if name not in self.groups:
            self.groups[name] = Group(self.state, name)
        self.groups[name].refresh()
        self.show_edges()
        return self.groups[name].box

    def show_edges(self, _: Any = None) -> None:
        """Show on the sliders of the open part where the answer turns."""
        if self.current:
            edges = {edge.key: edge for edge in self.margin.edges}
            for key, control in self.groups[self.current].keys.items():
                control.show_edge(edges.get(key))

    def close(self) -> None:
        """No group is looked at."""
        self.current = ""

    def refresh(self, _: Any = None) -> None:
        """Show the build as it is now."""
        if self.current:
            self.groups[self.current].refresh()
