"""What a key press's time goes into: read off the messages between page and kernel, which carry when they were made.

Page and kernel are on one machine, so their clocks are one; to the millisecond. ``python -m tests.benchmarks.keys
--parts`` prints it below the table, and what the kernel does meanwhile in processor time.
"""

import itertools
import statistics
import time
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from inrushlib.answers.margins import shown
from inrushlib.build import Build, load_build
from inrushlib.plots import LivePicture, Scheme, View
from inrushlib.plots.live import encode
from inrushlib.serve import workbook_folder
from inrushlib.startup import hold_lumps, simulate

HEAR = """() => {
  const now = () => performance.timeOrigin + performance.now(), text = new TextDecoder();
  window.heard = [];
  // A message is numbers where its parts begin, then channel, header, parent's header, metadata, content, pictures.
  function hear(data, kind, at) {
    if (!(data instanceof ArrayBuffer)) return;
    const view = new DataView(data), number = (i) => Number(view.getBigUint64(8 * i, true));
    const part = (i) => text.decode(data.slice(number(i + 1), number(i + 2)));
    const header = JSON.parse(part(1)), content = JSON.parse(part(4));
    const picture = data.byteLength > number(6) || part(4).includes('data:image/png');
    window.heard.push({kind, at, made: Date.parse(header.date), type: header.msg_type, picture,
                       state: content.execution_state || '', bytes: data.byteLength});
  }
  const Plain = window.WebSocket;
  window.WebSocket = class extends Plain {
    constructor(...all) { super(...all); this.addEventListener('message', event => hear(event.data, 'in', now())); }
    send(data) { const at = now(); super.send(data); hear(data.buffer || data, 'out', at); }
  };
  document.addEventListener('keydown', event => {
    window.heard = [];
    window.pressedAt = performance.timeOrigin + event.timeStamp;
  }, true);
}"""
PARTS = (
    "key's event to its message, in the page", "message to the kernel", "in the kernel, to the picture's message",
    "picture's message to the page", "to the frame with it: decoding, waiting for the frame",
)  # fmt: skip
ROUNDS = 30


def parts_of(heard: Sequence[dict[str, Any]], pressed_at: float, last: float) -> tuple[list[float], int, int] | None:
    """Take a key press apart.

    Parameters
    ----------
    heard : sequence of dict
        Messages since the key, as ``HEAR`` notes them.
    pressed_at, last : float
        When the key was pressed [ms], and after how long the last picture was there [ms].

    Returns
    -------
    tuple of list of float, int, int, or None
        Times by ``PARTS`` [ms], messages up to the picture's [1], its bytes [1]; None where no picture was heard.
    """
    sent = next((each for each in heard if each["kind"] == "out" and each["type"] == "comm_msg"), None)
    back = [each for each in heard if each["kind"] == "in" and each["at"] <= pressed_at + last]
    taken = next((each for each in back if each["state"] == "busy"), None)
    pictures = [each for each in back if each["picture"]]
    if sent is None or taken is None or not pictures:
        return None
    picture = pictures[-1]
    stations = (pressed_at, sent["at"], taken["made"], picture["made"], picture["at"], pressed_at + last)
    times = [later - earlier for earlier, later in itertools.pairwise(stations)]
    return times, back.index(picture) + 1, picture["bytes"]


def print_parts(notebook: str, found: Sequence[tuple[list[float], int, int]]) -> None:
    """Print the parts of all presses on a page."""
    print(f"\n{notebook}, {len(found)} presses: half of all, 95 % [ms]\n\n| part | half, 95 % |\n| --- | --- |")
    for place, words in enumerate(PARTS):
        each = sorted(times[place] for times, _, _ in found)
        print(f"| {words} | {statistics.median(each):.0f}, {each[min(len(each) - 1, int(0.95 * len(each)))]:.0f} |")
    messages, size = (statistics.median(each[place] for each in found) for place in (1, 2))
    print(f"| messages up to the picture's; its size | {messages:.0f}; {size / 1000:.0f} kB |", flush=True)


def print_kernel() -> None:
    """Print what the first page's kernel does for a picture, in processor time."""
    build = load_build(workbook_folder() / "builds" / "tide_board_never_starts.toml")
    build = hold_lumps(build.with_lumps_held(None))
    builds = [build.with_values({"adapter.rated_current": rated}) for rated in (5.0, 5.12)]
    picture = LivePicture()
    picture.resize(910, 1.0, 558)
    starts = [simulate(each) for each in builds]
    views = [View((0.0, each.build.run.duration), 0.2, slack=shown(each)) for each in starts]
    for start, view in zip(starts, views, strict=True):
        picture.png(start, view)
    pixels = np.asarray(picture.canvas.buffer_rgba())
    rows: dict[str, Callable[[int], object]] = {
        "one start-up": lambda turn: simulate(builds[turn % 2]),
        "picture: curves, fills and words on the kept axes, and encoding": lambda turn: picture.png(
            starts[turn % 2], views[turn % 2]
        ),
        "of that, encoding as PNG": lambda turn: encode(pixels, Scheme.LIGHT),
    }
    print("\nIn the kernel, first page, processor time: least, median [ms]\n\n| what | |\n| --- | --- |")
    for words, job in rows.items():
        print(f"| {words} | {_times(job)} |")
    print(f"| margin of a new start | {_margin(builds)} |")


def _times(job: Callable[[int], object]) -> str:
    took = []
    for turn in range(ROUNDS):
        begun = time.thread_time()
        job(turn)
        took.append(1e3 * (time.thread_time() - begun))
    return f"{min(took):.1f}, {statistics.median(took):.1f}"


def _margin(builds: Sequence[Build]) -> str:
    starts = [simulate(builds[turn % 2]) for turn in range(ROUNDS)]
    return _times(lambda turn: starts[turn].slack)
