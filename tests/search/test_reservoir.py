"""The smallest reservoir: against the model either side of its edge, and against C = I t / dV."""

from dataclasses import replace
from itertools import pairwise

import pytest

from inrushlib.build import new_build
from inrushlib.search import reservoir
from inrushlib.search.by_hand import WhyNoFormula, hand_formula
from inrushlib.search.reservoir import e6_values, smallest_reservoir, with_reservoir
from inrushlib.search.reservoir_size import NoReservoir, WhyNoReservoir
from inrushlib.startup import Verdict, simulate

# Invented: four panels of 8 x 32 pixels, a switch that the controller closes, an adapter that the flash pulls down.
FLASH = {
    "title": "four panels", "adapter.rated_current": 3, "lead.gauge": "20 AWG", "bus.bulk": "470 uF",
    "switch.on_resistance": "12 mohm", "controller.boot_time": "100 ms", "controller.run_current": "90 mA",
    "firmware.gate_delay": "2 ms", "firmware.first_frame_delay": "60 ms", "firmware.refresh_interval": "40 ms",
    "wiring.sections": 4, "wiring.pixels_per_section": 256, "wiring.lanes": 4, "wiring.feeds": [0, 2],
    "run.duration": 0.5,
}  # fmt: skip


@pytest.fixture(scope="module")
def size():
    return smallest_reservoir(new_build(FLASH))


def test_edge(size):
    build = new_build(FLASH)
    assert size.needed
    assert simulate(with_reservoir(build, 1.02 * size.smallest)).verdict is Verdict.BOOTS
    assert simulate(with_reservoir(build, 0.98 * size.smallest)).verdict is not Verdict.BOOTS
    assert simulate(build).verdict is not Verdict.BOOTS


def test_hand_formula_agrees(size):
    # C = I t / dV (textbook). The edge is found to 1 %; the rail's 22 uF are half a per cent of the reservoir.
    hand = size.by_hand
    assert hand.capacitance == pytest.approx(hand.current * hand.time / hand.voltage_drop)
    assert hand.current == 0.09
    assert size.smallest == pytest.approx(hand.capacitance, rel=0.02)
    # Below the smallest the rail reaches the reset level; at it, it just does not.
    lowest = simulate(with_reservoir(new_build(FLASH), size.smallest)).figures.lowest_rail_voltage
    assert 2.3 < lowest < 2.35


def test_next_value(size):
    # E6 of IEC 60063; code M capacitors are within 20 % (data sheet of the KEMET ESL series).
    assert float(f"{size.standard.value:.1e}"[:3]) in (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
    assert size.standard.least == pytest.approx(0.8 * size.standard.value)
    assert size.standard.least >= size.smallest
    below = max(value for value in e6_values() if value < size.standard.value)
    assert 0.8 * below < size.smallest
    for share in (0.8, 1.0, 1.2):
        build = with_reservoir(new_build(FLASH), share * size.standard.value)
        assert simulate(build).verdict is Verdict.BOOTS
    chosen = simulate(with_reservoir(new_build(FLASH), size.standard.value))
    assert size.standard.lowest_rail_voltage == chosen.figures.lowest_rail_voltage
    assert size.standard.highest_reservoir_voltage == chosen.figures.highest_reservoir_voltage
    assert 0.1 < size.standard.peak_feed_current < 5.1 / 0.05


def test_mains_interruption():
    # A dip of known length: the mains is away for 100 ms. With dark pixels the bus is gone soon after, and comes
    # back over the soft start of 8 ms until it passes what is left on the reservoir and the diode, 2.7 V of 5.1 V.
    # I = 80 mA; dV to 2.3 + 0.08 + 0.3 x 0.08 V from what the diode leaves: 5.1 V less 0.6 A (the bleed's 0.51 A, the
    # controller's 80 mA and 10 mA of dark pixels) over 50 mohm, less the diode's drop at 80 mA, 0.25 V: 4.82 V.
    build = new_build(
        {
            "title": "interrupted", "adapter.rated_current": 3, "adapter.bleed_resistance": 10, "wiring.sections": 1,
            "wiring.pixels_per_section": 16, "pixel.power_on": [0, 0, 0], "adapter.output_capacitance": "100 uF",
            "firmware.refresh_interval": "20 ms",
            "run.interruptions": [["0.4 s", "0.5 s"]], "run.duration": 0.8,
        }
    )  # fmt: skip
    size = smallest_reservoir(build)
    time = 0.1 + 8e-3 * 2.7 / 5.1
    assert size.by_hand.time == pytest.approx(time, rel=0.02)
    assert size.by_hand.voltage_drop == pytest.approx(4.82 - 2.404, rel=0.01)
    assert size.smallest == pytest.approx(80e-3 * time / (4.82 - 2.404), rel=0.04)


def test_not_needed():
    size = smallest_reservoir(new_build(FLASH | {"adapter.rated_current": 40}))
    assert not size.needed
    assert size.smallest == e6_values()[0]


def test_own_supply():
    size = smallest_reservoir(new_build(FLASH | {"controller.feed": "own"}))
    assert size.why is WhyNoReservoir.OWN_SUPPLY
    assert "supply of its own" in size.reason


def test_bus_never_rises():
    size = smallest_reservoir(new_build(FLASH | {"switch": None}))
    assert size.why is WhyNoReservoir.NOTHING_BOOTS
    assert (size.to_dict()["smallest"], size.to_dict()["islands"]) == (None, ())
    assert "never rises" in size.reason
    assert "100 mF" in size.reason


def test_hand_formula_without_a_dip():
    # The bus never falls far enough for the diode to block, and a start that never leaves reset has no dip.
    steady = {"adapter.rated_current": 40, "controller.feed_diode": False, "firmware.first_frame_delay": "5 ms"}
    assert hand_formula(simulate(new_build(FLASH | {"switch": None}))) is WhyNoFormula.NEVER_RELEASED
    found = hand_formula(simulate(new_build(FLASH | steady)))
    assert found is WhyNoFormula.NO_DIP or found.time < 1e-3


def test_a_build_that_boots_only_without_a_diode_is_told_so():
    # The adapter folds back to a bus of some 2.9 V: the diode takes 0.3 V of it, and no capacitor gives them back.
    build = new_build({"title": "folds back", "adapter.rated_current": 3, "adapter.limit_style": "foldback",
                       "wiring.sections": 4, "wiring.pixels_per_section": 64})  # fmt: skip
    assert simulate(build).verdict is Verdict.BOOTS
    found = smallest_reservoir(build)
    assert isinstance(found, NoReservoir)
    assert found.reason.endswith("As it is: boots")


def test_the_table_for_json_says_what_the_answer_says(size):
    standard = size.standard
    told = {
        "smallest": size.smallest, "needed": True, "next_value": standard.value, "least_of_next": standard.least,
        "by_hand": size.by_hand, "lowest_rail_voltage": standard.lowest_rail_voltage,
        "highest_reservoir_voltage": standard.highest_reservoir_voltage,
        "peak_feed_current": standard.peak_feed_current, "islands": size.islands, "reason": "", "runs": size.runs,
        "start": standard.start,
    }  # fmt: skip
    assert size.to_dict() == told
    ends = NoReservoir(why=WhyNoReservoir.LADDER_ENDS, runs=3)
    assert ends.reason == "the ladder of E6 values ends at 100 mF"
    of_standard = ("next_value", "least_of_next", "lowest_rail_voltage", "highest_reservoir_voltage",
                   "peak_feed_current", "start")  # fmt: skip
    without = told | dict.fromkeys(of_standard) | {"reason": ends.reason}
    assert replace(size, standard=ends).to_dict() == without
    nothing = dict.fromkeys(told) | {"needed": False, "islands": (), "reason": ends.reason, "runs": 3}
    assert ends.to_dict() == nothing
    wide = NoReservoir(why=WhyNoReservoir.TOLERANCE_TOO_WIDE, detail="it boots from 3 mF on", runs=3)
    assert wide.reason == "no E6 value boots over the whole of its 20 % tolerance; it boots from 3 mF on"


def test_the_values_searched_are_six_a_decade_from_a_microfarad_to_a_tenth_of_a_farad():
    # IEC 60063, E6.
    values = e6_values()
    assert len(values) == 5 * 6 + 1
    assert (values[0], values[-1]) == (1e-6, 0.1)
    assert all(1.4 < high / low < 1.53 for low, high in pairwise(values))


def test_a_radio_burst_in_the_dip_counts_in_full(size):
    # A burst of 0.2 A for 5 ms every 20 ms falls into any dip that lasts longer than that.
    start = simulate(with_reservoir(new_build(FLASH), size.smallest))
    plain = hand_formula(start)
    values = {"controller.burst_current": 0.2, "controller.burst_period": 0.02, "controller.burst_length": 5e-3}
    c = start.build.controller
    loud = hand_formula(simulate(start.build.with_values(values | {"controller.reservoir": 0.1})))
    assert plain.time > 0.025
    assert plain.current == c.run_current
    assert loud.current == pytest.approx(c.run_current + 0.2)
    # dV ends where the regulator, with its resistance at that current, holds the rail at the reset level no more.
    lowest = c.brownout_falling + c.dropout_voltage
    begins = plain.voltage_drop + lowest + c.dropout_resistance * plain.current
    assert loud.voltage_drop + lowest + c.dropout_resistance * loud.current == pytest.approx(begins, abs=0.15)


def test_a_reservoir_that_is_low_when_its_dip_begins_has_nothing_to_lose(size):
    start = simulate(with_reservoir(new_build(FLASH), size.smallest))
    controller = start.build.controller.model_copy(update={"brownout_falling": 4.8})
    low = replace(start, build=start.build.model_copy(update={"controller": controller}))
    assert hand_formula(low) is WhyNoFormula.NOTHING_TO_LOSE


def test_without_a_standard_value_it_says_whether_the_ladder_or_the_tolerance_is_why(size):
    build = new_build(FLASH)
    beyond, runs = reservoir._standard(build, 0.095)  # 0.12 F with its tolerance, and the largest has 0.1 F
    assert (beyond.why, runs) == (WhyNoReservoir.LADDER_ENDS, 0)
    narrow, runs = reservoir._standard(build, 1e-4 * size.smallest)  # none of the next few boots
    assert (narrow.why, runs) == (WhyNoReservoir.TOLERANCE_TOO_WIDE, 3 * reservoir.MOST_VALUES)
    assert "it boots from" in narrow.reason
