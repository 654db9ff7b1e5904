"""Laws and circuit: broken constants and currents that go missing."""

from .mutation import RULE_FILES, mutation

CONSTANTS = "laws/constants.py"
ADAPTER, SWITCH, CONTROLLER, PIXEL = (f"laws/{name}.py" for name in ("adapter", "switch", "controller", "pixel"))
CIRCUIT = "model/circuit.py"
PIXELS = "model/pixels.py"
NO_CACHE = ("tests/startup/test_cache.py",)
FORMS = ("tests/laws/test_forms.py",)
CURRENTS = ("tests/startup/test_currents.py",)


def law(name, *texts, file=CONSTANTS):
    noticing = ("tests/model/test_laws.py", "tests/model/test_linear.py", "tests/test_reference.py", *RULE_FILES)
    return mutation(name, file, *texts, tests=noticing)


MUTATIONS = [
    mutation("phi halved", CONSTANTS, "TWO_PHI = 0.08", "TWO_PHI = 0.04", first="controller"),
    mutation(
        "the pull-up's current not taken from the bus",
        CIRCUIT,
        "- i_ctrl - i_sw - i_pull",
        "- i_ctrl - i_sw",
        first="controller",
    ),
    mutation("the clamp does not feed the rail", CIRCUIT, "i_3 + i_clamp - i_load", "i_3 - i_load", first="controller"),
    mutation(
        "the clamp does not hold the gate", CIRCUIT, "i_pull - i_clamp - i_low", "i_pull - i_low", first="controller"
    ),
    mutation(
        "a transistor driver clamps too",
        CIRCUIT,
        "if p.switch_on_pin > 0.0:",
        "if p.switch_on_pin >= 0.0:",
        first="controller",
    ),
    mutation(
        "gate resistance left out of the clamp",
        SWITCH,
        "r = CLAMP_RESISTANCE + gate_resistance",
        "r = CLAMP_RESISTANCE",
        first="controller",
    ),
    mutation("clamp drop of 0.5 V", CONSTANTS, "CLAMP_DROP = 0.6", "CLAMP_DROP = 0.5", first="controller"),
    mutation(
        "no bleed",
        CIRCUIT,
        "i_reg - y[at.V_O] / p.adapter_bleed_resistance - y[at.I_L]",
        "i_reg - y[at.I_L]",
        first="adapter",
    ),
    mutation(
        "foldback limit that does not fold",
        ADAPTER,
        "return foldback_current + slope * v_o, slope",
        "return top, 0.0",
        first="adapter",
    ),
    law("no body diode", "i_ch - i_body, (v_b", "i_ch, (v_b", file=CIRCUIT),
    law("joint of 5 mohm", "JOINT_RESISTANCE = 0.002", "JOINT_RESISTANCE = 0.005"),
    law("side by side, waking has no slope", "slope[k] = waking * drawn + on", "slope[k] = on", file=PIXELS),
    law("side by side, dark chips draw nothing", "current[k] = on * quiescent", "current[k] = 0.0", file=PIXELS),
    law("gate charge not taken from the bus", "    out[at.V_B] -= gs * x[at.V_G]\n", "", file=CIRCUIT),
    law("gate charge not taken from the root", "    out[at.V_R] -= gd * x[at.V_G]\n", "", file=CIRCUIT),
    law(
        "quiescent current always flows",
        "return r * i, sr * i + r * s",
        "return r * (i - quiescent) + quiescent, sr * (i - quiescent) + r * s",
        file=PIXEL,
    ),
    law("green as red", "colour_channel(v, forward_g, ", "colour_channel(v, forward_r, ", file=PIXEL),
    law(
        "diode without its rest",
        "return (i - rest) / resistance, s / resistance",
        "return i / resistance, s / resistance",
        file=CONTROLLER,
    ),
    law(
        "regulator without its limit",
        "n, to_m, _ = least(m, limit, w)",
        "n, to_m, _ = least(m, 10.0 * limit, w)",
        file=CONTROLLER,
    ),
    law(
        "dropout ignored",
        "    b = (v_h - v_3 - dropout) / ",
        "    b = (v_h - v_3) / ",
        file=CONTROLLER,
    ),
    law("wake width halved", "WAKE_WIDTH = 0.08", "WAKE_WIDTH = 0.04"),
    law("channel width halved", "CHANNEL_WIDTH = 0.06", "CHANNEL_WIDTH = 0.03"),
    law("channel knee rounder", "CHANNEL_SHARE = 0.03", "CHANNEL_SHARE = 0.06"),
    law("limit knee rounder", "LIMIT_SHARE = 0.01", "LIMIT_SHARE = 0.02"),
    law("load fades lower", "LOAD_WIDTH = 0.2", "LOAD_WIDTH = 0.1"),
    law(
        "a hop has one lump's rail",
        "(s[:-1, at.COUNT] + s[1:, at.COUNT]) / 2",
        "s[:-1, at.COUNT]",
        file="startup/pack.py",
    ),
    law("lower corner as wide as the upper one", "i, s = soft(m, min(w, CORNER))", "i, s = soft(m, w)", file=ADAPTER),
    law("lower corner of 20 mA", "CORNER = 0.01", "CORNER = 0.02"),
    mutation(
        "cache named without the sources' text",
        "model/store.py",
        "digest.update(path.name.encode() + path.read_bytes())",
        "digest.update(path.name.encode())",
        tests=NO_CACHE,
    ),
    mutation("cache named after one file", "model/store.py", '.glob("*.py")', '.glob("circuit.py")', tests=NO_CACHE),
    mutation(
        "cache named without the laws",
        "model/store.py",
        ", *map(Path, inrushlib.laws.__path__)",
        ",",
        tests=NO_CACHE,
    ),
    mutation("array pixels without the slope of waking", "laws/arrays.py", "waking * drawn + ", "", tests=FORMS),
    mutation(
        "steady adapter that does not fold",
        "panel/supply.py",
        "True, self.foldback",
        "False, self.foldback",
        tests=FORMS,
    ),
    mutation(
        "currents in the modes of the step before",
        "model/branches.py",
        "kept[rows[r]]\n        restore_modes(step, m)",
        "kept[rows[r]]\n        restore_modes(kept[max(rows[r] - 1, 0)], m)",
        tests=CURRENTS,
    ),
]
