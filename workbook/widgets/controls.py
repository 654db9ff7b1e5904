"""Controls for the keys of a build, in groups: a slider with a field beside it, a choice, a box to tick."""

from __future__ import annotations

from typing import Any

import ipywidgets as w

from inrushlib.build import Build, build_keys
from inrushlib.parts import ValueKind, part_classes
from inrushlib.text import for_html
from widgets.groups import GROUPS, ClassChoice, Control, Heading, Item, Slide, Tick, group_names, rest_of
from widgets.signs import signs
from widgets.state import BootState
from widgets.values import STEP, at_position, label_of, position, shown, tooltip_of, typed, written

WIDE = w.Layout(width="auto", flex="1 1 0", min_width="0")
NO_CLASS = "none"
CLASS_TIP = "typical values of a part; they take the place of those that were given. Their ranges: inrush parts"
FIELD = w.Layout(width="96px", flex="0 0 96px")
LABEL = w.Layout(width="150px", flex="0 0 150px")


class KeyControl:
    """Label, slider and field of one key, tied to a state's build."""

    def __init__(self, state: BootState, control: Control) -> None:
        self.state, self.control, self.key = state, control, control.key
        self.info = build_keys()[self.key]
        self.optional = type(state.build).model_fields[self.info.table].default is None
        self._moving = False
        tip = for_html(tooltip_of(self.key))
        label = control.label or label_of(self.key)
        self.label = w.HTML(f'<span class="wb-name" title="{tip}">{for_html(label)}</span>', layout=LABEL)
        self.field = self._make_field()
        self.field.observe(self.entered, "value")
        parts: list[Any] = [self.label, self.field]
        self.slider: Any = None
        if isinstance(control, Slide):
            self.slider = w.FloatSlider(min=0, max=100, step=STEP, readout=False, layout=WIDE)
            self.slider.observe(self.slid, "value")
            parts.insert(1, self.slider)
        self.box = w.HBox(parts)
        self.box.add_class("wb-key")
        self.refresh()

    def _make_field(self) -> Any:
        if self.info.kind is ValueKind.YES_NO:
            return w.Checkbox(description="", indent=False, layout=WIDE)
        if self.info.kind is ValueKind.CHOICE:
            return w.Dropdown(options=self.info.choices, layout=WIDE)
        hint = "" if self.info.required else signs(self.info.default_text)
        return w.Text(
            continuous_update=False, placeholder=hint, layout=FIELD if isinstance(self.control, Slide) else WIDE
        )

    def refresh(self, _: Any = None) -> None:
        """Show the build's value; what was typed and is not accepted stands as it was typed."""
        build = self.state.build
        refused = self.key in self.state.refused
        (self.box.add_class if refused else self.box.remove_class)("wb-refused")
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

    def __init__(self, state: BootState, item: ClassChoice) -> None:
        self.state, self.table = state, item.table
        self._moving = False
        label = w.HTML(f'<span class="wb-name" title="{CLASS_TIP}">{for_html(item.label)}</span>', layout=LABEL)
        self.field = w.Dropdown(
            options=[(NO_CLASS, ""), *((name, name) for name in part_classes(item.table))], layout=WIDE
        )
        self.field.observe(self.chosen, "value")
        self.box = w.HBox([label, self.field])
        self.box.add_class("wb-key")
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

    def __init__(self, state: BootState, table: str, words: str) -> None:
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
    """The controls of one group; those needed less often are made when they are asked for."""

    def __init__(self, state: BootState, name: str) -> None:
        self.state, self.name = state, name
        self.keys: dict[str, KeyControl] = {}
        self.parts: dict[str, PartTick] = {}
        self.classes: dict[str, ClassControl] = {}
        rows = [self._row(item) for item in GROUPS.get(name, ())]
        self.rest = rest_of(name)
        self.more = w.ToggleButton(description=f"{len(self.rest)} more values", icon="plus")
        self.more.add_class("wb-more")
        self.more.observe(self.toggled, "value")
        self.extra = w.Box([])
        self.extra.add_class("wb-rows")
        main = w.Box(rows)
        main.add_class("wb-rows")
        self.box = w.VBox([main, *([self.more, self.extra] if self.rest else [])])
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
        self.more.icon = "minus" if change["new"] else "plus"
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

    def __init__(self, state: BootState) -> None:
        self.state = state
        self.groups: dict[str, Group] = {}
        self.names = group_names()
        self.current = ""
        state.observe(self.refresh, ["build", "refused"])

    def open(self, name: str) -> w.DOMWidget:
        """Return the widgets of a group."""
        self.current = name
        if name not in self.groups:
            self.groups[name] = Group(self.state, name)
        self.groups[name].refresh()
        return self.groups[name].box

    def refresh(self, _: Any = None) -> None:
        """Show the build as it is now."""
        if self.current:
            self.groups[self.current].refresh()
