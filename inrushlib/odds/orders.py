"""Pairs of keys of which one has to be below the other, as the parts check them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from inrushlib.build import Build
from inrushlib.parts import TABLES


@dataclass(frozen=True)
class Order:
    """Two keys of which the first has to be below the second.

    Attributes
    ----------
    below, above : str
        Dotted keys.
    """

    below: str
    above: str


ORDERS: Final = (
    Order("adapter.foldback_current", "adapter.limit_current"),
    Order("adapter.limit_current", "adapter.peak_current"),
    Order("switch.threshold_voltage", "switch.on_resistance_drive"),
    Order("controller.brownout_falling", "controller.brownout_rising"),
    Order("controller.burst_length", "controller.burst_period"),
    Order("pixel.forget_voltage", "pixel.listen_voltage"),
)
APART: Final = 1e-6
"""Least distance of such two values, as a share of the larger [1]."""


def follows(build: Build, key: str) -> bool:
    """Say whether a dotted key's value follows from others, so that it moves out of their way.

    Parameters
    ----------
    build : Build
        Any build.
    key : str
        Dotted.
    """
    table, _, name = key.partition(".")
    return TABLES[table].about[name].derive is not None and key not in build.given


def above_of(key: str) -> tuple[str, ...]:
    """Return the keys that have to be above a dotted key.

    Parameters
    ----------
    key : str
        Dotted.

    Examples
    --------
    >>> above_of("pixel.forget_voltage")
    ('pixel.listen_voltage',)
    """
    return tuple(order.above for order in ORDERS if order.below == key)


def below_of(key: str) -> tuple[str, ...]:
    """Return the keys that have to be below a dotted key.

    Parameters
    ----------
    key : str
        Dotted.

    Examples
    --------
    >>> below_of("adapter.limit_current")
    ('adapter.foldback_current',)
    """
    return tuple(order.below for order in ORDERS if order.above == key)
