"""What the widgets lack by themselves: names for screen readers, a line of help, and how wide the picture may be."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets as tl

SCRIPT = """
const LOOK_EVERY = 2000;  // [ms]
const LONGEST_WAIT = 600;  // frames until there is something to measure

function set(element, attribute, value) {
  if (element && value !== "" && element.getAttribute(attribute) !== value) element.setAttribute(attribute, value);
}

function name() {
  document.querySelectorAll(".wb-key, .wb-row, .wb-span, .wb-read").forEach((row) => {
    const label = row.querySelector(".wb-name");
    const words = label || row.querySelector(".widget-html-content");
    const text = words ? words.textContent.trim() : "";
    const about = label ? label.title : "";
    const fields = row.querySelectorAll("input[type=text], input[type=number], select, input[type=checkbox]");
    const handles = row.querySelectorAll(".noUi-handle");
    const pair = row.classList.contains("wb-span") || row.classList.contains("wb-row");
    // A row without a name of its own is a channel of a capture: what it shows, in which unit.
    const [first, second] = label ? [", begin", ", end"] : [" shows", " unit"];
    const part = (i, n) => ((pair || !label) && n > 1 ? text + (i ? second : first) : text);
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
  document.querySelectorAll(".wb-picture img").forEach((image) => set(image, "alt",
    "Voltages, lead current and what each part is doing, over time. The readings and tables below have the figures."));
  document.querySelectorAll(".wb-log select").forEach((list) => set(list, "aria-label", "everything that switched"));
  document.querySelectorAll(".wb-page .jupyter-button").forEach((button) => {
    if (button.matches(".wb-node-head, .wb-fold"))
      set(button, "aria-expanded", button.classList.contains("mod-active") ? "true" : "false");
    else if (button.closest(".widget-toggle-buttons") || button.classList.contains("widget-toggle-button"))
      set(button, "aria-pressed", button.classList.contains("mod-active") ? "true" : "false");
    if (!button.textContent.trim()) set(button, "aria-label", button.title);
  });
}

// The frame's four parts as landmarks; the editor around a page has its own.
const PARTS = [[".wb-rail", "banner", ""], [".wb-read-out", "region", "answer"], [".wb-body, .wb-story", "main", ""],
  [".wb-foot", "contentinfo", ""]];

function land() {
  if (!document.body.hasAttribute("data-voila")) return;
  PARTS.forEach(([where, role, label]) => {
    const part = document.querySelector(where);
    set(part, "role", role);
    set(part, "aria-label", label);
  });
  // What the first link leads to: past the build's values.
  const stage = document.querySelector(".wb-stage");
  set(stage, "id", "wb-stage");
  set(stage, "tabindex", "-1");
  // The link of this page is in sight, also where the links scroll.
  const here = document.querySelector(".wb-nav [aria-current]");
  if (!here || here.dataset.seen) return;
  here.parentElement.scrollLeft = here.offsetLeft - here.parentElement.offsetLeft - 40;
  here.dataset.seen = "yes";
}

// What is wider than its place scrolls by itself, and can then be reached by keyboard.
function reach() {
  document.querySelectorAll(".wb-scroll").forEach((place) => {
    if (place.scrollWidth <= place.clientWidth) { place.removeAttribute("tabindex"); return; }
    set(place, "tabindex", "0");
    set(place, "role", "group");
    set(place, "aria-label", "wider than the page: arrow keys move it");
  });
}

// Of itself and not what stands in it, so that a change of the words is heard, and nothing else.
function speak() {
  set(document.querySelector(".wb-said"), "role", "status");
}

// What a button of the rail opened is gone on with at its first field.
function begin() {
  const field = document.querySelector(".wb-drawer :is(input[type=text], select)");
  if (!field || field.dataset.begun) return;
  field.dataset.begun = "yes";
  if (!document.activeElement || !document.activeElement.closest(".wb-top")) return;
  field.focus();
  if (field.select) field.select();
}

function help(event) {
  const row = event.target.closest ? event.target.closest(".wb-key") : null;
  const about = row ? row.querySelector("[title].wb-name") : null;
  const line = document.querySelector(".wb-help");
  if (!line || !about) return;
  const name = document.createElement("b");
  name.textContent = about.textContent;
  line.replaceChildren(name, " " + about.title);
}

// What is typed and not sent yet stays: a value that arrives meanwhile waits until the field is left.
const VALUE = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, "value");

function hold(event) {
  const field = event.target;
  if (!field.matches || !field.matches(".wb-page :is(input[type=text], input[type=number])")) return;
  if (Object.prototype.hasOwnProperty.call(field, "value")) return;
  Object.defineProperty(field, "value", { configurable: true, enumerable: true,
    get() { return VALUE.get.call(this); }, set(value) { this.waiting = value; } });
}

function release(event) {
  const field = event.target;
  if (!Object.prototype.hasOwnProperty.call(field, "value")) return;
  if (event.type === "keydown" && event.key !== "Enter") return;
  delete field.value;
  // Left as it was before it was typed into, it sends nothing: then the value that arrived is shown.
  if (event.type === "focusout" && field.waiting !== undefined) field.value = field.waiting;
  delete field.waiting;
}

// Enter in a field with a button beside it presses that, once the field has sent what was typed.
function go(event) {
  const row = event.key === "Enter" && !event.isComposing && event.target.closest(".wb-enter");
  if (!row || !event.target.matches("input")) return;
  setTimeout(() => row.querySelector("button").click());
}

export default {
  render({ model, el }) {
    el.style.display = "none";
    let waiting = false;
    const later = () => {
      if (waiting) return;
      waiting = true;
      setTimeout(() => { waiting = false; name(); land(); reach(); speak(); begin(); }, 150);
    };
    const watch = new MutationObserver(later);
    watch.observe(document.body, { childList: true, subtree: true });
    const told = [["keyup", later], ["pointerup", later], ["focusin", help], ["pointerover", help]];
    told.forEach(([event, act]) => document.addEventListener(event, act));
    const typing = [["input", hold], ["keydown", release], ["change", release], ["focusout", release],
      ["keydown", go]];
    typing.forEach(([event, act]) => document.addEventListener(event, act, true));
    let timer = 0;
    const scheme = window.matchMedia("(prefers-color-scheme: dark)");
    // Whether another page of the folder changed the build is looked up while this one is in sight and alive.
    const look = () => {
      if (document.visibilityState !== "visible" || document.getElementById("gone")) return;
      model.set("looked", (model.get("looked") || 0) + 1);
      model.save_changes();
    };
    const looking = setInterval(look, LOOK_EVERY);
    document.addEventListener("visibilitychange", look);
    const leave = () => { clearInterval(looking); document.removeEventListener("visibilitychange", look); };
    window.addEventListener("beforeunload", leave);
    window.addEventListener("pagehide", leave);
    let sized = null;
    // Whether the page is laid out so far that it could be measured.
    const measure = () => {
      const place = document.querySelector(".wb-stage");
      if (!place) return false;
      const look = getComputedStyle(place);
      const width = Math.floor(place.clientWidth - parseFloat(look.paddingLeft) - parseFloat(look.paddingRight));
      if (width < 50 || !look.getPropertyValue("--wb-sheet")) return false;
      if (sized !== place) { sizes.disconnect(); sizes.observe(place); sized = place; }
      const dark = scheme.matches;
      const height = window.innerHeight;
      if (model.get("width") === width && model.get("ratio") === window.devicePixelRatio
          && model.get("dark") === dark && model.get("height") === height) return true;
      model.set("height", height);
      model.set("width", width);
      model.set("dark", dark);
      model.set("ratio", window.devicePixelRatio || 1);
      model.save_changes();
      return true;
    };
    // The first time as soon as there is something to measure: the page waits for its pictures.
    let waited = 0;
    const first = () => { if (!measure() && waited++ < LONGEST_WAIT) requestAnimationFrame(first); };
    const soon = () => { clearTimeout(timer); timer = setTimeout(measure, 120); later(); };
    const sizes = new ResizeObserver(soon);
    sizes.observe(document.body);
    window.addEventListener("resize", soon);
    scheme.addEventListener("change", soon);
    later();
    first();
    model.set("built", (model.get("built") || 0) + 1);
    model.save_changes();
    return () => {
      leave();
      window.removeEventListener("beforeunload", leave);
      window.removeEventListener("pagehide", leave);
      window.removeEventListener("resize", soon);
      scheme.removeEventListener("change", soon);
      watch.disconnect();
      sizes.disconnect();
      told.forEach(([event, act]) => document.removeEventListener(event, act));
      typing.forEach(([event, act]) => document.removeEventListener(event, act, true));
    };
  },
};
"""


class Access(anywidget.AnyWidget):
    """Names sliders, fields, buttons and the picture; shows nothing itself.

    ``width`` [px] is the room for the picture on the page, ``height`` [px] that of the window, ``ratio`` the screen's
    pixels for each of those; ``dark`` is whether the reader's system asks for dark; ``built`` counts how often a page
    was built, ``looked`` how often it was time to see whether another page changed the build.
    """

    _esm = SCRIPT
    width: Any = tl.Int(0).tag(sync=True)
    height: Any = tl.Int(720).tag(sync=True)
    ratio: Any = tl.Float(1.0).tag(sync=True)
    built: Any = tl.Int(0).tag(sync=True)
    dark: Any = tl.Bool(False).tag(sync=True)
    looked: Any = tl.Int(0).tag(sync=True)
