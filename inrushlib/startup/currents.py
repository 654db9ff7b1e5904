"""Currents of a run that are no states: what flows in each part, by the model's own laws and modes.

``read_currents``  current by place at any instants
"""

from __future__ import annotations

import numpy as np

from inrushlib.build import Build
from inrushlib.parts.place import (
    ADAPTER,
    BODY_DIODE,
    CHANNEL,
    CONTROLLER,
    GATE_DRIVER,
    JOINT,
    LEAD,
    PIN_CLAMP,
    PULL_UP,
    SWITCH,
    Place,
    feed,
    hop,
)
from inrushlib.startup.curves import Array, KeptSteps
from inrushlib.startup.pack import pack


def read_currents(build: Build, steps: KeptSteps, times: Array) -> dict[Place, Array]:
    """Return what flows in each part of a build at any instants of its run.

    Parameters
    ----------
    build : Build
        What was started.
    steps : KeptSteps
        The steps of its run.
    times : (n,) array
        Instants [s], 0 to the duration; beyond it the nearest end is returned. At an instant at which something
        switches, what holds after it.

    Returns
    -------
    dict of Place to (n,) array
        Currents [A], of the places that the build has:

        - ``ADAPTER``: what its regulator gives, bleed and output capacitor included;
        - ``LEAD``, ``feed(k)``, ``hop(k)``: away from the adapter, and from section k to the next;
        - ``CONTROLLER``: into its reservoir, from the bus or its own supply;
        - ``JOINT`` or ``SWITCH``: from bus to panel, whatever the kind of switch;
        - of a P-channel switch ``CHANNEL`` (bus to panel) less ``BODY_DIODE`` (panel to bus), ``PULL_UP`` (bus to
          gate), ``GATE_DRIVER`` (gate to ground), with a bare pin ``PIN_CLAMP`` (gate to the controller's rail).
    """
    from inrushlib.model import branches as at_branch
    from inrushlib.model import layout as at

    packed, lumps = pack(build), steps.lumps
    rows, shares = steps.locate(np.asarray(times, dtype=float))
    found = np.empty((len(rows), at_branch.width(len(lumps))))
    at_branch.branches(steps.rows, rows, shares, packed.parts, packed.lumps, found)
    through = found.T
    currents = {
        ADAPTER: through[at_branch.REGULATOR],
        LEAD: steps.states_at(times)[:, at.I_L],
        CONTROLLER: through[at_branch.CONTROLLER],
        (JOINT if build.switch is None else SWITCH): through[at_branch.ACROSS],
    }
    if build.switch is not None and build.switch.kind == "p-channel":
        currents[CHANNEL] = through[at_branch.ACROSS] + through[at_branch.BODY]
        currents[BODY_DIODE] = through[at_branch.BODY]
        currents[PULL_UP] = through[at_branch.PULL]
        currents[GATE_DRIVER] = through[at_branch.LOW]
        if build.switch.gate_driver == "pin":
            currents[PIN_CLAMP] = through[at_branch.CLAMP]
    feeds, hops = at_branch.FEEDS, at_branch.FEEDS + len(lumps)
    currents |= {feed(k): through[feeds + lump] for k, lump in zip(build.wiring.feeds, lumps.fed, strict=True)}
    return currents | {hop(k): through[hops + lump] for k, lump in enumerate(lumps.last[:-1])}
