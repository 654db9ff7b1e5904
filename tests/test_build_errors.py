import tomllib

import pytest
import tomlkit
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from inrushlib.build import Build, build_keys, load_build, new_build, parse_build, to_toml
from inrushlib.errors import BuildError
from inrushlib.quantities import shown

LEAST = {"title": "t", "adapter.rated_current": 2, "wiring.sections": 3, "wiring.pixels_per_section": 9}
TEXT = """title = "t"
[adapter]
rated_current = "2 A"
[wiring]
sections = 3
pixels_per_section = 9
"""


def problems_of(text):
    with pytest.raises(BuildError) as refusal:
        parse_build(text, source="b.toml")
    assert str(refusal.value).count("b.toml: ") >= len(refusal.value.problems)
    return refusal.value.problems


# Key, value, and what the message must say is accepted.
REFUSED = [
    ("adapter.rated_current", True, "a number in A"),
    ("adapter.rated_current", "abc", "a number in A"),
    ("adapter.rated_current", "3 V", "a number in A"),
    ("adapter.rated_current", "3", "text with its unit"),
    ("adapter.rated_current", 0, "above 0 A"),
    ("adapter.rated_current", -1, "above 0 A"),
    ("adapter.rated_current", float("nan"), "above 0 A"),
    ("adapter.rated_current", float("inf"), "above 0 A"),
    ("adapter.rated_current", 10**400, "above 0 A"),
    ("adapter.rated_current", [2], "above 0 A"),
    ("adapter.rated_current", {"value": 2}, "above 0 A"),
    ("adapter.rated_current", "5 kA", "above 0 A, up to 200 A"),
    ("adapter.rated_voltage", "5.1 kV", "above 0 V, up to 30 V"),
    ("adapter.limit_current", 401, "above 0 A, up to 400 A"),
    ("lead.gauge", "501 mm2", "text with its unit"),
    ("controller.reset_hold", "4 ks", "0 s to 60 s"),
    ("adapter.limit_style", "fold", '"constant-current" or "foldback"'),
    ("adapter.limit_style", 1, '"hiccup" or "latch-off"'),
    ("adapter.foldback_current", 3, "at most limit_current, 2.4 A"),
    ("adapter.peak_time", 0.02, "both, or neither"),
    ("lead.gauge", 22, "text with its unit"),
    ("lead.gauge", 3.2e-7, "text with its unit"),
    ("lead.gauge", "22", "22 AWG"),
    ("bus.bulk", -1e-6, "0 F to 10 F"),
    ("switch.on_resistance_drive", 0.9, "above threshold_voltage, 900 mV"),
    ("switch.gate_driver", "relay", '"transistor" or "pin"'),
    ("switch.thermal_resistances", [1, 2], "a list of 2"),
    ("switch.thermal_times", [1, 2, 3], "a list of 4"),
    ("switch.thermal_resistances", [], "one step or more"),
    ("switch.thermal_resistances", ["1 K/W", "2 ohm", 3, 4], "number in K/W"),
    ("switch.ambient", -300, "-273.15 C to 150 C"),
    ("switch.highest_junction", "300 K", "degrees Celsius"),
    ("controller.feed", "mains", '"bus" or "own"'),
    ("controller.feed_diode", 1, "true or false"),
    ("controller.feed_diode", "yes", "true or false"),
    ("controller.brownout_falling", 2.8, "below brownout_rising, 2.8 V"),
    ("controller.brownout_rising", 2.3, "below brownout_rising, 2.3 V"),
    ("controller.burst_length", 0.1, "below burst_period, 100 ms"),
    ("controller.regulator_limit", 0, "above 0 A"),
    ("firmware.bits_per_pixel", 24.5, "1 or more, whole"),
    ("firmware.bits_per_pixel", "24", "1 or more, whole"),
    ("firmware.first_frame", [0, 0], "a list of 3"),
    ("firmware.first_frame", [0, 0, 1.1], "0 to 1"),
    ("firmware.content", [-0.1, 0, 0], "0 to 1"),
    ("firmware.content", 0.3, "a list with one for each colour"),
    ("firmware.content", [True, 0, 0], "0 to 1"),
    ("firmware.content", ["0.3 V", 0, 0], "without a unit"),
    ("pixel.power_on", [1, 1, 1, 1], "a list of 3"),
    ("pixel.forward_voltages", [2, 0, 3], "above 0 V"),
    ("pixel.channel_current", 0, "above 0 A"),
    ("pixel.forget_voltage", 2.2, "below listen_voltage, 2.2 V"),
    ("wiring.sections", 0, "1 to 64, whole"),
    ("wiring.sections", 65, "1 to 64, whole"),
    ("wiring.sections", 2.5, "1 to 64, whole"),
    ("wiring.pixels_per_section", 4097, "1 to 4096, whole"),
    ("wiring.pixels_per_section", [9, 9], "a list of 3"),
    ("wiring.pixels_per_section", [9, 0, 9], "1 to 4096, whole"),
    ("wiring.pixels_per_section", [9, [9], 9], "1 to 4096, whole"),
    ("wiring.lumps", 2, "odd numbers"),
    ("wiring.lumps", [3, 4, 5], "odd numbers"),
    ("wiring.lumps", 11, "not more than the section has pixels"),
    ("wiring.lumps", 101, "1 to 99, whole"),
    ("wiring.lumps", "many", '"auto", or one value or a list'),
    ("wiring.lumps", [1, 3], "a list of 3"),
    ("wiring.lanes", 4, "not more lanes than sections"),
    ("wiring.hop_resistance", [0.03], "a list of 2"),
    ("wiring.feeds", [], "one feed or more"),
    ("wiring.feeds", [3], "0 to 2, whole"),
    ("wiring.feeds", [-1], "0 or more, whole"),
    ("wiring.feeds", [1, 1], "each section once"),
    ("wiring.feeds", 0, "a list with one for each feed wire"),
    ("wiring.feed_resistance", [0.02, 0.02], "a list of 1"),
    ("wiring.feed_resistance", 0, "above 0 ohm"),
    ("wiring.feed_pixels", [9], "0 to 8, whole"),
    ("wiring.feed_pixels", [1, 2], "a list of 1"),
    ("run.duration", 0, "above 0 s"),
    ("run.start", "battery", '"mains" or "plug"'),
    ("run.interruptions", [[0.5, 0.4]], "off_at before on_at"),
    ("run.interruptions", [[0.1, 0.3], [0.2, 0.4]], "each beginning after the one before has ended"),
    ("run.interruptions", [[0.5, 0.6], [0.1, 0.2]], "in order"),
    ("run.interruptions", [[0.5]], "[off_at, on_at] pairs"),
    ("run.interruptions", [0.5, 0.6], "[off_at, on_at] pairs"),
    ("run.interruptions", [["1 V", 2]], "a number in s"),
    ("run.interruptions", 3, "[off_at, on_at] pairs"),
    ("title", "", "text that is not empty"),
    ("title", 3, "text that is not empty"),
    ("format", 0, "1"),
    ("format", True, "1"),
    ("format", 2, "written by a newer version"),
    ("switch", True, "a table"),
    ("adapter", [2], "a table"),
    ("tolerance", 0.1, "a table"),
]


@pytest.mark.parametrize(("key", "value", "accepted"), REFUSED, ids=lambda value: shown(value, 40))
def test_one_message_names_key_value_and_what_is_accepted(key, value, accepted):
    # The build before the change is right, so the one problem is that of the change.
    build = new_build({**LEAST, "switch": {}})
    with pytest.raises(BuildError) as refusal:
        build.with_values({key: value})
    named = [line for line in refusal.value.problems if accepted in line.partition("accepted: ")[2]]
    named = named or [line for line in refusal.value.problems if accepted in line]
    assert named, refusal.value.problems
    assert named[0].startswith(f"{key.partition('.')[0]}")
    assert "value " in named[0]
    assert key.rpartition(".")[2] in named[0]
    if not isinstance(value, list):
        assert shown(value) in named[0]
    assert all(line.isprintable() and "accepted: " in line for line in refusal.value.problems)


@pytest.mark.parametrize(
    ("values", "line"),
    [
        (
            {"adapter.peak_current": 2.3, "adapter.peak_time": 1},
            "adapter.peak_current: value 2.3; accepted: at least limit_current, 2.4 A",
        ),
        (
            {"adapter.peak_current": 3},
            "adapter.peak_time: value none (the default); accepted: peak_current and peak_time both, or neither",
        ),
        (
            {"wiring.sections": 1, "wiring.hop_resistance": 0, "wiring.rail_resistance": 0},
            "wiring.hop_resistance: value 0; accepted: above zero while rail_resistance is zero",
        ),
        (
            {"wiring.hop_resistance": [0, 1], "wiring.rail_resistance": 0},
            "wiring.hop_resistance: value [0, 1]; accepted: above zero, every one, while rail_resistance is zero",
        ),
        (
            {"switch.gate_source_capacitance": 0, "switch.gate_drain_capacitance": "0 F"},
            'switch.gate_drain_capacitance: value "0 F"; accepted: above zero while gate_source_capacitance is zero',
        ),
    ],
)
def test_values_that_do_not_go_together(values, line):
    with pytest.raises(BuildError) as refusal:
        new_build({**LEAST, **values})
    assert refusal.value.problems == [line]


@pytest.mark.parametrize(
    ("key", "entry", "accepted"),
    [
        ("lead.resistance", 0.2, "{ low = ..., high = ... }"),
        ("lead.resistance", {"low": 1}, "{ low = ..., high = ... }"),
        ("lead.resistance", {"low": 1, "high": 2, "sigma": 1}, "{ low = ..., high = ... }"),
        ("lead.resistance", {"low": 2, "high": 1}, "low below high"),
        ("lead.resistance", {"low": 1, "high": 1}, "low below high"),
        ("lead.resistance", {"low": 0, "high": 1}, "above 0 ohm"),
        ("lead.resistance", {"low": "1 V", "high": 2}, "a number in ohm"),
        ("lead.resistance", {"relative": 1.5}, "above 0 to 1"),
        ("lead.resistance", {"relative": 0}, "above 0 to 1"),
        ("lead.resistance", {"relative": "20 ohm"}, "above 0 to 1"),
        ("lead.resistance", {"sigma": -1}, "above zero"),
        ("lead.resistance", {"sigma": "1 A"}, "a number in ohm"),
        ("lead.gauge", {"low": "20 AWG", "high": "22 AWG"}, "low below high"),
        ("lead.resistence", {"relative": 0.1}, '"table.key" of a number'),
        ("adapter.limit_style", {"relative": 0.1}, '"table.key" of a number'),
        ("lead", {"resistance": {"relative": 0.1}}, "the key in quotes"),
        ("title", {"relative": 0.1}, '"table.key" of a number'),
    ],
)
def test_tolerances_refused(key, entry, accepted):
    with pytest.raises(BuildError) as refusal:
        new_build({**LEAST, "tolerance": {key: entry}})
    (line,) = refusal.value.problems
    assert line.startswith(f'tolerance."{key}": value ')
    assert accepted in line


def test_all_problems_of_a_file_are_told_at_once():
    lines = problems_of("""
title = "t"
rated_current = 2
[adaptor]
rated_current = 2
[lead]
lenght = 2
[bus]
bulk = "-1 uF"
[controller]
brownout_falling = 3
boot_time = "150 mV"
[wiring]
sections = 2
pixels_per_section = [8, 0]
lanes = 3
[tolerance]
"lead.length" = { relative = 2 }
"lead.gauge" = { relative = 2 }
""")
    assert sorted(line.partition(": ")[0] for line in lines) == [
        "adapter.rated_current", "adaptor", "bus.bulk", "controller.boot_time", "controller.brownout_falling",
        "lead.lenght", "rated_current", 'tolerance."lead.gauge"', 'tolerance."lead.length"', "wiring.lanes",
        "wiring.pixels_per_section",
    ]  # fmt: skip
    text = "\n".join(lines)
    assert "adapter.rated_current: value missing" in text
    assert "perhaps lead.length" in text
    assert "perhaps adapter\n" in text or "perhaps adapter " in text
    assert "perhaps adapter.rated_current" in text
    assert "value 0 in [8, 0]" in text


def test_a_name_is_suggested_only_where_it_is_like_the_one_given():
    (line,) = problems_of(
        'title = "t"\nadapter.rated_current = 2\nwiring = { sections = 1, pixels_per_section = 8 }\n[build]'
    )
    assert line.startswith("build: unknown table or key; accepted: adapter, lead,")
    assert "perhaps" not in line


def test_a_key_that_is_missing_is_the_one_that_was_meant():
    lines = problems_of('title = "t"\nadapter.rating = 2\npixel.count = 8\nwiring = { sections = 1, number = 8 }\n')
    hints = {line.partition(":")[0]: line for line in lines if "unknown key" in line}
    assert "perhaps adapter.rated_current" in hints["adapter.rating"]
    assert "perhaps wiring.pixels_per_section" in hints["wiring.number"]
    assert "perhaps" not in hints["pixel.count"]  # nothing is like it: all keys of the table stand there
    assert "channel_current, " in hints["pixel.count"]


def test_a_newer_file_is_said_to_be_newer_and_nothing_else():
    (line,) = problems_of('format = 2\n[whatever]\nx = "new"\n')
    assert line == "format: value 2; written by a newer version; accepted: 1"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (TEXT + "[lead\n", "line 7: not TOML"),
        ("title = 't'\ntitle = 'u'\n", "line 2: not TOML"),
        ("title = \n", "line 1: not TOML"),
        ("title = 'harbour", "line 1: not TOML"),
        ('x = """\n\n', "line 3: not TOML"),
        ("a = " + "[" * 5000, "not a build file: values nested too deeply"),
        ("title = " + "9" * 5000, "a whole number with too many digits"),
    ],
)
def test_what_is_not_toml_is_said_with_its_line(text, line):
    (found,) = problems_of(text)
    assert found.startswith(line)
    assert "accepted: " in found


def test_values_nested_a_thousand_deep_are_refused():
    assert len(problems_of(TEXT + "[lead]\n" + ".".join(["a"] * 3000) + " = 1\n")) == 1
    assert problems_of(TEXT + "[lead]\nlength = " + "[" * 90 + "]" * 90 + "\n")


@pytest.mark.parametrize("name", ["none.toml", "folder", "latin.toml", "a\0b", "x" * 5000])
def test_files_that_cannot_be_read(tmp_path, name):
    (tmp_path / "folder").mkdir()
    (tmp_path / "latin.toml").write_bytes('title = "t"\n# Gr\xf6\xdfe\n'.encode("latin-1"))
    with pytest.raises(BuildError, match=r"cannot be read|line 2: byte 0xf6 is not UTF-8") as refusal:
        load_build(tmp_path / name)
    assert "accepted: " in str(refusal.value)


def test_an_unknown_key_suggests_the_closest():
    build = new_build(LEAST)
    for change in ({"adapter.rated_curent": 1}, {"adapter.rated_curent": None}):
        with pytest.raises(BuildError, match=r"perhaps adapter\.rated_current"):
            build.with_values(change)
    with pytest.raises(BuildError, match=r"perhaps adapter\.rated_current"):
        build.get("adapter.rated_curent")
    with pytest.raises(BuildError, match="perhaps pixel"):
        build.with_values({"pixels": {}})
    with pytest.raises(BuildError, match="unknown key"):
        build.with_values({3: 2})


scalars = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**25), 10**25), st.integers(-3, 70), st.floats(), st.text(max_size=8),
    st.floats(0, 10), st.dates(), st.datetimes(), st.times(),
    st.builds(
        lambda number, unit: f"{number} {unit}", st.floats(-1, 1e6),
        st.sampled_from(["A", "mV", "uF", "ohm", "s", "AWG", "mm2", "C", "K/W", "%"]),
    ),
    st.sampled_from(["hiccup", "pin", "own", "plug", "22 AWG", "4/0 AWG"]),
)  # fmt: skip
anything = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)
keys = st.one_of(
    st.sampled_from([*build_keys(), "adapter", "switch", "tolerance", "lead"]),
    st.sampled_from(list(build_keys())).map(lambda key: f"tolerance.{key}"),
    st.text(max_size=8),
)


def build_or_error(make):
    try:
        return make()
    except BuildError as error:
        return error


def build_or_problems(make):
    """The build, or None after seeing that it was refused in the one accepted way."""
    result = build_or_error(make)
    if isinstance(result, Build):
        return result
    assert result.problems
    assert all(line and line.isprintable() for line in result.problems), result.problems
    return None


@settings(max_examples=400, deadline=None)
@given(st.dictionaries(keys, anything, max_size=6))
@example({"run.interruptions": [[0, 1e-320]]})
@example({"tolerance.lead.gauge": {"sigma": "0.1 mm2"}})
def test_random_values_give_a_build_or_a_refusal(values):
    build = build_or_problems(lambda: new_build({**LEAST, **values}))
    if build is not None:
        assert parse_build(to_toml(build)) == build


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(keys, anything, max_size=6))
def test_random_values_through_a_text(values):
    document = tomlkit.document()
    document.update(tomllib.loads(TEXT))
    for key, value in values.items():
        table, dot, name = key.partition(".")
        try:
            if dot and isinstance(document.get(table), dict):
                document[table][name] = value
            else:
                document[table] = {name: value} if dot else value
        except (ValueError, TypeError, tomlkit.exceptions.TOMLKitError):
            continue
    text = tomlkit.dumps(document)
    build = build_or_problems(lambda: parse_build(text))
    if build is not None:
        assert parse_build(to_toml(build)) == build


LONG = (
    TEXT
    + """
[switch] # gate
thermal_times = ["1 ms", 2]
thermal_resistances = [1, 2]
[run]
interruptions = [[0.1, 0.2]]
[tolerance]
"lead.length" = { low = 1, high = "2 m" }
"""
)


@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_mutated_texts_give_a_build_or_a_refusal(data):
    text = LONG
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 6))
        put = data.draw(
            st.text(max_size=3)
            | st.sampled_from(["[", "]", "[[", "{", "}", '"', "=", ".", "\n", "#", "1e999", "nan", "0x", "\r"])
        )
        text = text[:at] + put + text[at + cut :]
    build = build_or_problems(lambda: parse_build(text))
    if build is not None:
        changed = build.with_values({"adapter.rated_current": 3.5, "switch.ambient": "30 C"})
        assert parse_build(to_toml(changed)) == changed
