"""What the widgets lack by themselves: names for screen readers, a line of help, and how wide the picture may be."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets as tl

SCRIPT = """
function set(element, attribute, value) {
  if (element && value !== "" && element.getAttribute(attribute) !== value) element.setAttribute(attribute, value);
}

function name() {
  document.querySelectorAll(".wb-key").forEach((row) => {
    const label = row.querySelector(".widget-html-content");
    const text = label ? label.textContent.trim() : "";
    const about = label && label.querySelector("[title]") ? label.querySelector("[title]").title : "";
    const fields = row.querySelectorAll("input[type=text], input[type=number], select, input[type=checkbox]");
    const handles = row.querySelectorAll(".noUi-handle");
    const part = (i, n) => (n > 1 ? text + (i ? ", end" : ", begin") : text);
    handles.forEach((handle, i) => {
      set(handle, "aria-label", part(i, handles.length));
      set(handle, "aria-description", about);
      const field = fields[Math.min(i, fields.length - 1)];
      if (field) set(handle, "aria-valuetext", field.value);
    });
    fields.forEach((field, i) => {
      set(field, "aria-label", part(i, fields.length));
      set(field, "aria-description", about);
      set(field, "aria-invalid", row.classList.contains("wb-refused") ? "true" : "false");
    });
  });
  document.querySelectorAll(".wb-picture img, img.wb-picture").forEach((image) => set(image, "alt",
    "Voltages, lead current and what each part is doing, over time. The readings and tables below have the figures."));
  document.querySelectorAll(".wb-log select").forEach((list) => set(list, "aria-label", "everything that switched"));
  document.querySelectorAll(".wb-page .jupyter-button").forEach((button) => {
    if (button.closest(".widget-toggle-buttons") || button.classList.contains("widget-toggle-button"))
      set(button, "aria-pressed", button.classList.contains("mod-active") ? "true" : "false");
    if (!button.textContent.trim()) set(button, "aria-label", button.title);
  });
}

function help(event) {
  const row = event.target.closest ? event.target.closest(".wb-key") : null;
  const about = row ? row.querySelector("[title].wb-name") : null;
  const line = document.querySelector(".wb-help");
  if (line && about) line.textContent = about.textContent + ": " + about.title;
}

export default {
  render({ model, el }) {
    el.style.display = "none";
    let waiting = false;
    const later = () => {
      if (waiting) return;
      waiting = true;
      setTimeout(() => { waiting = false; name(); }, 150);
    };
    const watch = new MutationObserver(later);
    watch.observe(document.body, { childList: true, subtree: true });
    const told = [["keyup", later], ["pointerup", later], ["focusin", help], ["pointerover", help]];
    told.forEach(([event, act]) => document.addEventListener(event, act));
    let timer = 0;
    let sized = null;
    const measure = () => {
      const place = document.querySelector(".wb-right");
      const width = place ? Math.floor(place.clientWidth) : 0;
      if (!place || width < 50) return;
      if (sized !== place) { sizes.disconnect(); sizes.observe(place); sized = place; }
      if (model.get("width") === width && model.get("ratio") === window.devicePixelRatio) return;
      model.set("width", width);
      model.set("ratio", window.devicePixelRatio || 1);
      model.save_changes();
    };
    const soon = () => { clearTimeout(timer); timer = setTimeout(measure, 120); };
    const sizes = new ResizeObserver(soon);
    sizes.observe(document.body);
    later();
    soon();
    model.set("built", (model.get("built") || 0) + 1);
    model.save_changes();
    return () => {
      watch.disconnect();
      sizes.disconnect();
      told.forEach(([event, act]) => document.removeEventListener(event, act));
    };
  },
};
"""


class Access(anywidget.AnyWidget):
    """Names sliders, fields, buttons and the picture; shows nothing itself.

    ``width`` [px] is the room for the picture on the page, ``ratio`` the screen's pixels for each of those;
    ``built`` counts how often a page was built.
    """

    _esm = SCRIPT
    width: Any = tl.Int(0).tag(sync=True)
    ratio: Any = tl.Float(1.0).tag(sync=True)
    built: Any = tl.Int(0).tag(sync=True)
