"""What the user's program does: when the gate goes low, and which frames go out when."""

from __future__ import annotations

from typing import Annotated, ClassVar

from inrushlib.parts.part import Part, measure, share, whole
from inrushlib.parts.ranges import CHOSEN, Typical, all_exact

COLOURS = "colour (red, green, blue)"


class Firmware(Part):
    """The user's program, as far as the start-up sees it."""

    typical: ClassVar[dict[str, Typical]] = all_exact(
        CHOSEN, "gate_delay", "first_frame_delay", "refresh_interval", "bits_per_pixel", "bit_time", "reset_gap",
        "first_frame", "content_delay", "content",
    )  # fmt: skip

    gate_delay: Annotated[
        float, measure("s", 3600.0, "run entered to gate pin low", "the program, or an oscilloscope", zero=True)
    ] = 0.0
    first_frame_delay: Annotated[
        float,
        measure("s", 3600.0, "run entered to start of the first frame", "the program, or an oscilloscope", zero=True),
    ] = 1e-3
    refresh_interval: Annotated[
        float, measure("s", 3600.0, "start of a frame to start of the next; zero: one frame only", "the program",
                       zero=True)
    ] = 0.0  # fmt: skip
    bits_per_pixel: Annotated[int, whole(1, float("inf"), "bits that each pixel takes", "data sheet of the pixel")] = 24
    bit_time: Annotated[float, measure("s", 1e-3, "length of a bit on the data line", "data sheet of the pixel")] = (
        1.25e-6
    )
    reset_gap: Annotated[
        float,
        measure("s", 1.0, "quiet time after which pixels show the frame", "data sheet of the pixel", zero=True),
    ] = 300e-6
    first_frame: Annotated[
        tuple[float, ...],
        share("duty of each colour in the first frame", "the program", length=3, one_for_each=COLOURS),
    ] = (0.0, 0.0, 0.0)
    content_delay: Annotated[
        float | None,
        measure(
            "s", 3600.0, "run entered to the first frame with the running picture", "the program",
            zero=True, optional=True, default_text="none",
        ),
    ] = None  # fmt: skip
    content: Annotated[
        tuple[float, ...],
        share(
            "duty of each colour in the running picture, an average over all pixels", "the program",
            length=3, one_for_each=COLOURS,
        ),
    ] = (0.3, 0.3, 0.3)  # fmt: skip
