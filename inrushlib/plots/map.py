"""Yes/no maps: filled by verdict, hatched so that they read in grey, with the boundary of what boots.

``draw_map``        verdicts over two keys
``draw_gate_map``   the window for the first frame over gate resistance and capacitance
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, PathPatch
from matplotlib.path import Path
from matplotlib.ticker import FuncFormatter, LogLocator, MaxNLocator, NullFormatter

from inrushlib.build import build_keys
from inrushlib.parts import key_words, plainly
from inrushlib.plots.narrow import columns, is_narrow, wrapped
from inrushlib.plots.scheme import OVERSTRESS_HATCH, Palette, Scheme
from inrushlib.plots.style import SMALL
from inrushlib.quantities import format_quantity, with_signs
from inrushlib.search.axis import Axis
from inrushlib.search.gate_map import GateMap
from inrushlib.search.map import BOOTS, VerdictMap
from inrushlib.startup import Verdict
from inrushlib.trace.prepare import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NO_END = "∞"
ROW = 21.0  # [pt] of a legend


def _edge_look(palette: Palette) -> dict[str, Any]:
    return {"color": palette.ink, "linewidth": 1.8, "solid_joinstyle": "round"}


def _own_look(palette: Palette) -> dict[str, Any]:
    return {
        "marker": "D", "markersize": 8, "markerfacecolor": palette.sheet, "markeredgecolor": palette.ink,
        "markeredgewidth": 1.6, "linestyle": "",
    }  # fmt: skip


def draw_map(found: VerdictMap, axes: Axes, scheme: Scheme = Scheme.LIGHT) -> Axes:
    """Draw the verdicts over two keys, the boundary of what boots, and the build's own values.

    Parameters
    ----------
    found : VerdictMap
        The map.
    axes : Axes
        Empty axes, 4 by 3 inches or larger, with room above for the legend.
    scheme : Scheme
        Light or dark.
    """
    palette = scheme.palette
    x, y = _scale(found.x), _scale(found.y)
    handles: list[Any] = []
    nearest = _without_boots(found.verdicts)
    for number, verdict in enumerate(Verdict):
        if not (found.verdicts == number).any():
            continue
        if number == BOOTS:
            shapes = [*_agreeing_squares(found), *found.edge_areas]
        else:
            shapes = _rows(nearest == number, _borders(found.x_values, found.x), _borders(found.y_values, found.y))
        fill, hatch = palette.verdict(verdict)
        look: dict[str, Any] = {"facecolor": fill, "hatch": hatch, "edgecolor": palette.hatch, "linewidth": 0}
        # What boots lies on top: its edge has been followed more finely than the points' own cells.
        axes.add_patch(PathPatch(_path(shapes, x, y), zorder=1.2 if number == BOOTS else 1.0, **look))
        handles.append(Patch(label=verdict.words, **look))
    if found.overstressed.any():
        look = {
            "facecolor": palette.overstressed,
            "hatch": OVERSTRESS_HATCH,
            "edgecolor": palette.hatch,
            "linewidth": 0,
        }
        borders = _borders(found.x_values, found.x), _borders(found.y_values, found.y)
        axes.add_patch(PathPatch(_path(_rows(found.overstressed, *borders), x, y), zorder=1.4, **look))
        handles.append(Patch(label="starts, but overstressed", **look))
    handles += _edge_and_own(found, axes, "edge of what boots", palette)
    _frame(axes, found.x, found.y, palette)
    _legend(axes, handles, palette)
    return axes


def draw_gate_map(found: GateMap, axes: Axes, scheme: Scheme = Scheme.LIGHT) -> Axes:
    """Draw the window for the first frame over gate resistance and gate-drain capacitance.

    Each cell says from when to when the first frame may start; cells are darker the longer the window, the line
    is the edge of where the build's own delay boots.

    Parameters
    ----------
    found : GateMap
        The map.
    axes : Axes
        Empty axes, 7 by 4 inches or larger.
    scheme : Scheme
        Light or dark.
    """
    own, palette = found.own, scheme.palette
    x, y = _scale(own.x), _scale(own.y)
    # No late edge: as dark as the darkest, whatever that is.
    finite = found.latest[np.isfinite(found.latest)]
    latest = np.where(np.isposinf(found.latest), finite.max(initial=1.0), found.latest)
    width = np.log10(1.0 + np.maximum(latest - found.earliest, 0.0) / 1e-4)
    top = np.nanmax(width) if np.isfinite(width).any() else 1.0
    x_borders, y_borders = _borders(found.resistance, own.x), _borders(found.capacitance, own.y)
    axes.set_facecolor(palette.sheet)
    shades = LinearSegmentedColormap.from_list("windows", (palette.sheet, palette.live))
    axes.pcolormesh(x_borders * x, y_borders * y, np.ma.masked_invalid(width), cmap=shades, vmin=0, vmax=top)
    none = _rows(~np.isfinite(width), x_borders, y_borders)
    handles: list[Any] = []
    narrow = is_narrow(axes)
    if none:
        look: dict[str, Any] = {"facecolor": palette.sheet, "hatch": "xx", "edgecolor": palette.hatch, "linewidth": 0}
        axes.add_patch(PathPatch(_path(none, x, y), **look))
        handles.append(Patch(label="no delay boots", **look))
    for row, farads in enumerate(found.capacitance):
        for column, ohms in enumerate(found.resistance):
            if np.isfinite(width[row, column]):
                text = "\n".join(_short(edge[row, column], narrow) for edge in (found.earliest, found.latest))
                axes.text(ohms * x, farads * y, text, ha="center", va="center", fontsize=SMALL, color=palette.ink)
    delay = with_signs(format_quantity(own.build.firmware.first_frame_delay, "s", digits=3))
    handles += _edge_and_own(own, axes, f"edge of what boots at {delay}", palette)
    _frame(axes, own.x, own.y, palette)
    axes.set_xlim(x_borders[0] * x, x_borders[-1] * x)
    axes.set_ylim(y_borders[0] * y, y_borders[-1] * y)
    said = "first frame from (above) to (below), in ms after the program begins"
    if narrow and np.isposinf(found.latest).any():
        said += f"; {NO_END}:\u00a0no\u00a0end"  # in one line
    rows = _legend(axes, handles, palette)
    axes.set_title(wrapped(axes, said, 9), fontsize=9, color=palette.ink, loc="left", pad=9 + ROW * rows)
    return axes


def _edge_and_own(found: VerdictMap, axes: Axes, edge: str, palette: Palette) -> list[Any]:
    """Draw the boundary of what boots and the build's own values; returns their entries for the legend."""
    x, y = _scale(found.x), _scale(found.y)
    look, own = _edge_look(palette), _own_look(palette)
    handles: list[Any] = []
    for line in found.boundaries:
        axes.plot(line[:, 0] * x, line[:, 1] * y, zorder=2.0, **look)
    if found.boundaries:
        handles.append(Line2D([], [], label=edge, **look))
    if found.own is not None and _inside(found.own[0], found.x) and _inside(found.own[1], found.y):
        axes.plot(found.own[0] * x, found.own[1] * y, zorder=3.0, clip_on=False, **own)
        handles.append(Line2D([], [], label="this build", **own))
    return handles


def _short(seconds: float, narrow: bool) -> str:
    """An edge [ms], in as few characters as the cells of a narrow picture have room for."""
    if not np.isfinite(seconds):
        return NO_END if narrow else "no end"
    return f"{1e3 * seconds:.2g}" if narrow and seconds < 0.1 else f"{1e3 * seconds:.3g}"


def _scale(axis: Axis) -> float:
    """Return the factor from SI to the unit that the axis is labelled in."""
    return _unit(axis)[0]


def _unit(axis: Axis) -> tuple[float, str]:
    """Return factor and name of the unit that suits the middle of the range."""
    if not axis.unit:
        return 1.0, ""
    middle = float(axis.between(np.array((len(axis.values) - 1) / 2)))
    number, _, unit = format_quantity(middle, axis.unit, digits=12).partition(" ")
    factor = float(number) / middle if middle else 1.0
    return float(f"1e{round(np.log10(factor))}"), unit


def _inside(value: float, axis: Axis) -> bool:
    return axis.low <= value <= axis.high


def _borders(values: FloatArray, axis: Axis) -> FloatArray:
    """Return the borders between the values' cells, the outermost ones half a cell out."""
    v = np.log(values) if axis.log else values
    inner = 0.5 * (v[1:] + v[:-1])
    borders = np.concatenate(([1.5 * v[0] - 0.5 * v[1]], inner, [1.5 * v[-1] - 0.5 * v[-2]]))
    result: FloatArray = np.exp(borders) if axis.log else borders
    return result


def _without_boots(verdicts: Any) -> Any:
    """Return the verdicts with each one that boots replaced by that of a neighbour that does not."""
    result = verdicts.copy()
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            beside = np.full_like(result, BOOTS)
            rows, columns = result.shape
            beside[max(0, down) : rows + min(0, down), max(0, right) : columns + min(0, right)] = verdicts[
                max(0, -down) : rows + min(0, -down), max(0, -right) : columns + min(0, -right)
            ]
            result = np.where(result == BOOTS, beside, result)
    return result


def _rows(mask: Any, x: FloatArray, y: FloatArray) -> list[FloatArray]:
    """Return one rectangle for each stretch of true in each row."""
    found = []
    for row in range(mask.shape[0]):
        steps = np.flatnonzero(np.diff(np.concatenate(([0], mask[row].astype(int), [0]))))
        for first, last in zip(steps[::2], steps[1::2], strict=True):
            left, right, low, high = x[first], x[last], y[row], y[row + 1]
            found.append(np.array([(left, low), (right, low), (right, high), (left, high)]))
    return found


def _agreeing_squares(found: VerdictMap) -> list[FloatArray]:
    """Return the squares whose four points all boot, merged along rows."""
    boots = found.boots
    all_boot = boots[:-1, :-1] & boots[1:, :-1] & boots[:-1, 1:] & boots[1:, 1:]
    return _rows(all_boot, found.x_values, found.y_values)


def _path(shapes: Iterable[FloatArray], x: float, y: float) -> Path:
    """Return one path of many polygons, so that no seams show between them."""
    polygons = [np.vstack((shape, shape[:1])) * (x, y) for shape in shapes]
    codes = [[Path.MOVETO, *[Path.LINETO] * (len(p) - 2), Path.CLOSEPOLY] for p in polygons]
    return Path(np.concatenate(polygons), np.concatenate(codes)) if polygons else Path(np.empty((0, 2)))


def _frame(axes: Axes, x: Axis, y: Axis, palette: Palette) -> None:
    """Set scales, limits and labels with units."""
    for axis, side in ((x, "x"), (y, "y")):
        factor, unit = _unit(axis)
        getattr(axes, f"set_{side}scale")("log" if axis.log else "linear")
        getattr(axes, f"set_{side}lim")(axis.low * factor, axis.high * factor)
        meaning = wrapped(axes, plainly(build_keys()[axis.key].meaning, axis.key), 9)
        name = f"{key_words(axis.key)[:1].upper()}{key_words(axis.key)[1:]}"
        label = name + (f" [{with_signs(f'1 {unit}')[2:]}]" if unit else "") + f"\n{meaning}"
        getattr(axes, f"set_{side}label")(label, color=palette.ink, fontsize=9)
        ruler = getattr(axes, f"{side}axis")
        if axis.log:
            # In less than two decades the powers of ten alone are too few to read by.
            ruler.set_major_locator(LogLocator(subs=(1.0,) if axis.high > 100 * axis.low else (1.0, 2.0, 5.0)))
            ruler.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
            ruler.set_minor_formatter(NullFormatter())
        elif axis.whole:
            ruler.set_major_locator(MaxNLocator(integer=True))
    axes.tick_params(colors=palette.edge, labelcolor=palette.ink, labelsize=9)
    axes.set_facecolor(palette.sheet)
    axes.spines[:].set_color(palette.edge)


def _legend(axes: Axes, handles: Sequence[Any], palette: Palette) -> int:
    """Put a legend above the axes; returns its rows."""
    beside = columns(axes, [str(each.get_label()) for each in handles], 9, 4)
    axes.legend(
        handles=handles, loc="lower left", bbox_to_anchor=(-0.01, 1.0), frameon=False, fontsize=9, ncols=beside,
        labelcolor=palette.ink, handlelength=2.2, handleheight=1.3, columnspacing=1.4, borderaxespad=0.2,
    )  # fmt: skip
    return -(-len(handles) // beside)
