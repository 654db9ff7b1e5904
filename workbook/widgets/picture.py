"""The picture that follows a slider."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets as tl

# As an address that holds the picture itself: one that points to it costs the browser a way between its processes, some
# 4 ms a picture and 20 at times. One element, so that the picture before stands until the next one is there.
SCRIPT = """
const AT_ONCE = 8192;  // bytes, arguments of one call

function address(data) {
  const bytes = new Uint8Array(data.buffer, data.byteOffset, data.byteLength);
  const pieces = [];
  for (let from = 0; from < bytes.length; from += AT_ONCE)
    pieces.push(String.fromCharCode.apply(null, bytes.subarray(from, from + AT_ONCE)));
  return "data:image/png;base64," + btoa(pieces.join(""));
}

export default {
  render({ model, el }) {
    const image = document.createElement("img");
    const show = () => {
      const data = model.get("value");
      image.hidden = !data || !data.byteLength;
      if (!image.hidden) image.src = address(data);
    };
    el.append(image);
    model.on("change:value", show);
    show();
    return () => model.off("change:value", show);
  },
};
"""


class Picture(anywidget.AnyWidget):
    """A PNG on the page, quick to follow; ``value`` is its bytes."""

    _esm = SCRIPT
    value: Any = tl.Bytes(b"").tag(sync=True)
