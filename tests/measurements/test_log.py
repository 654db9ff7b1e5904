"""What has been measured of a build: its rows, and the file beside the build."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from inrushlib.errors import BuildError
from inrushlib.measurements import How, Measurement, MeasurementLog, Together, add_to_log, log_beside, read_log

LIMIT = Measurement(
    key="adapter.limit_current", value=3.52, low=3.4, high=3.61, how=How.CAPTURE, source="evening.csv",
    day=date(2026, 3, 1), modelled=3.6,
)  # fmt: skip
LEAD = replace(LIMIT, key="lead.resistance", value=0.07, low=None, high=0.09, modelled=None)
CURRENT = replace(
    LIMIT, key="pixel.channel_current", value=0.0122, low=0.012, high=0.0124, how=How.BENCH, source='a "tile" # white',
    modelled=0.012, level=0.9,
)  # fmt: skip
GAUGE = replace(LIMIT, key="lead.gauge", value=0.5e-6, low=0.4e-6, high=None, modelled=None)
TIED = Together(
    source="evening.csv", keys=("adapter.limit_current", "lead.resistance"), correlation=((1, 0.3), (0.3, 1))
)


def test_a_log_reads_back_as_it_was(tmp_path):
    path = log_beside(tmp_path / "six.toml")
    add_to_log(path, [LIMIT, LEAD, GAUGE], [TIED])
    add_to_log(path, [CURRENT])
    assert path.name == "six.measured.toml"
    assert read_log(path) == MeasurementLog((LIMIT, LEAD, GAUGE, CURRENT), (TIED,))


def test_what_was_written_by_hand_stays(tmp_path):
    path = tmp_path / "six.measured.toml"
    by_hand = (
        '# mine\n[[measured]]\nkey = "bus.ceramic" # ten of them\nvalue = "1 uF"\nhow = "bench"\n'
        'source = "meter"\nday = 2026-02-03\n'
    )
    path.write_text(by_hand)
    add_to_log(path, [LIMIT])
    assert path.read_text().startswith(by_hand)
    assert [row.key for row in read_log(path).rows] == ["bus.ceramic", "adapter.limit_current"]


def test_the_later_row_of_a_key_holds():
    later = replace(LIMIT, value=3.5, source="morning.csv")
    log = MeasurementLog((LIMIT, LEAD, later), (TIED,))
    assert log.newest()["adapter.limit_current"] is later
    # What the evening's capture tied is tied no longer: one of the two comes from elsewhere now.
    assert np.array_equal(log.correlation(TIED.keys), np.eye(2))
    assert MeasurementLog((LIMIT, LEAD), (TIED,)).correlation(("bus.ceramic", *TIED.keys))[1, 2] == 0.3


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('key = "adapter.colour"', 'key "adapter.colour": not a number of a build'),
        ('key = "pixel.wake"', "not a number of a build"),
        ('value = "3 V"', 'value: "3 V"; accepted: '),
        ('value = "900 A"', "outside the bounds"),
        ('low = "4 A"', "low is above the value"),
        ('high = "1 A"', "high is below the value"),
        ("level = 1.0", "level is not between 0 and 1"),
        ("level = true", "level: true"),
        ('how = "guess"', 'how: "guess"; accepted: capture, bench'),
        ('day = "yesterday"', "accepted: a date such as 2026-03-01"),
        ("source = 3", "source: 3; accepted: text"),
        ("colour = 1", '"colour": unknown'),
    ],
)
def test_a_wrong_row_is_named(tmp_path, line, said):
    path = tmp_path / "log.toml"
    right = {
        "key": 'key = "adapter.limit_current"', "value": 'value = "3.5 A"', "how": 'how = "bench"',
        "source": 'source = "meter"', "day": "day = 2026-03-01",
    }  # fmt: skip
    wrong = {**right, line.partition(" ")[0]: line}
    path.write_text("\n".join(["[[measured]]", *right.values(), "[[measured]]", *wrong.values()]))
    with pytest.raises(BuildError) as caught:
        read_log(path)
    (problem,) = caught.value.problems
    assert problem.startswith("measured row 2: ")
    assert said in problem


@pytest.mark.parametrize(
    "table",
    [
        "[[1, 0.3], [0.2, 1]]", "[[1, 2], [2, 1]]", "[[1, 0.3]]", '"high"', "[[0.5, 0], [0, 1]]",
        "[[1, nan], [nan, 1]]",
    ],
)  # fmt: skip
def test_a_correlation_that_cannot_be_is_refused(tmp_path, table):
    path = tmp_path / "log.toml"
    path.write_text(f'[[together]]\nsource = "a"\nkeys = ["bus.ceramic", "lead.resistance"]\ncorrelation = {table}\n')
    with pytest.raises(BuildError, match="together row 1: correlation"):
        read_log(path)


def test_all_problems_at_once_and_nothing_is_lost(tmp_path):
    path = tmp_path / "log.toml"
    path.write_text('[[measured]]\nkey = "x"\n[[measured]]\nkey = 3\n[other]\n')
    before = path.read_bytes()
    with pytest.raises(BuildError) as caught:
        add_to_log(path, [LIMIT])
    assert len(caught.value.problems) == 3
    with pytest.raises(BuildError, match="outside the bounds"):
        add_to_log(tmp_path / "new.toml", [replace(LIMIT, value=1e9)])
    assert path.read_bytes() == before
    assert not (tmp_path / "new.toml").exists()


def test_rows_that_are_none(tmp_path):
    path = tmp_path / "log.toml"
    path.write_text("measured = 3\n")
    with pytest.raises(BuildError, match="accepted: \\[\\[measured\\]\\] before each"):
        read_log(path)
