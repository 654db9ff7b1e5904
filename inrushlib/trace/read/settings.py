"""What a reader can be told about a file: the option of the command, the control of the page, and both in messages.

``Setting``, ``SETTINGS``   each thing that can be told, with its option, its control, what is accepted
``Advice``                  a setting with a value, as a message names it
``Wording``                 a sentence with advice in it, for the command or for the page
``CaptureRefused``          a capture that cannot be read as it stands; its sentences lead to what to tell
"""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from inrushlib.errors import TraceError


class Setting(StrEnum):
    """What can be told; the value is the name in ``ReadChoices``."""

    ENCODING = "encoding"
    DELIMITER = "delimiter"
    DECIMAL = "decimal"
    THOUSANDS = "thousands"
    FIRST_LINE = "first_line"
    HEADER_ROWS = "header_rows"
    NAMES = "names"
    IGNORE = "ignore"
    TIME_COLUMN = "time_column"
    TIME_UNIT = "time_unit"
    INTERVAL = "interval"
    START = "start"
    SEGMENT = "segment"
    UNITS = "units"
    COUNTS = "counts"
    COUNTS_PER_DIVISION = "counts_per_division"
    SCALES = "scales"
    OFFSETS = "offsets"
    GAP_WORDS = "gap_words"


@dataclass(frozen=True, kw_only=True)
class SettingSpec:
    """How a setting is told.

    Attributes
    ----------
    option : str
        Of the command.
    control : str
        The field's name on the page.
    shape : str
        What stands after the option.
    about : str
        What it means, in a few words.
    values : tuple of str
        The only ones; empty where there are others.
    many : bool
        Whether it may be told several times, on the page with commas between.
    by_channel : bool
        Whether each is for a channel: ``NAME=VALUE``.
    """

    option: str
    control: str
    shape: str
    about: str
    values: tuple[str, ...] = ()
    many: bool = False
    by_channel: bool = False


SETTINGS = {
    Setting.ENCODING: SettingSpec(
        option="--encoding", control="encoding", shape="NAME", about="such as utf-8 or utf-16-le"
    ),
    Setting.DELIMITER: SettingSpec(
        option="--delimiter", control="delimiter", shape="MARK", about=r"between columns: , ; | blank, or \t for a tab"
    ),
    Setting.DECIMAL: SettingSpec(
        option="--decimal", control="decimal mark", shape="MARK", about="point or comma", values=(".", ",")
    ),
    Setting.THOUSANDS: SettingSpec(
        option="--thousands", control="thousands", shape="MARK", about="mark between groups of three digits"
    ),
    Setting.FIRST_LINE: SettingSpec(
        option="--first-line", control="first line", shape="N", about="line of the first samples, from 1"
    ),
    Setting.HEADER_ROWS: SettingSpec(
        option="--header-rows", control="header rows", shape="N", about="lines of names and units above them, 0 to 2"
    ),
    Setting.NAMES: SettingSpec(
        option="--name", control="names", shape="NAME", about="of the columns, from the left", many=True
    ),
    Setting.IGNORE: SettingSpec(
        option="--ignore", control="leave out", shape="NAME", about="a column that is left out, or its number from 1",
        many=True,
    ),
    Setting.TIME_COLUMN: SettingSpec(
        option="--time-column", control="time column", shape="NAME",
        about="name of the time column, or its number from 1; 0 when there is none",
    ),
    Setting.TIME_UNIT: SettingSpec(
        option="--time-unit", control="time in", shape="UNIT", about="unit of the time column",
        values=("s", "ms", "us", "ns"),
    ),
    Setting.INTERVAL: SettingSpec(
        option="--interval", control="interval", shape="SECONDS",
        about="between samples: without a time column, or where its times are rounded",
    ),
    Setting.START: SettingSpec(option="--start", control="start", shape="SECONDS", about="time of the first sample"),
    Setting.SEGMENT: SettingSpec(
        option="--segment", control="segment", shape="N", about="which of several segments, from 1"
    ),
    Setting.UNITS: SettingSpec(
        option="--unit", control="units", shape="UNIT", about="unit of a channel: V, mV, A", many=True, by_channel=True
    ),
    Setting.COUNTS: SettingSpec(
        option="--counts", control="whole numbers", shape="MEANING",
        about="counts from the ground level, counts from the middle of the screen, or values as written",
        values=("ground", "screen", "values"),
    ),
    Setting.COUNTS_PER_DIVISION: SettingSpec(
        option="--counts-per-division", control="counts a division", shape="N",
        about="of the converter, in one division of the screen",
    ),
    Setting.SCALES: SettingSpec(
        option="--per-count", control="value a count", shape="VALUE",
        about="volts or amperes of one count, or of one unit as written", many=True, by_channel=True,
    ),
    Setting.OFFSETS: SettingSpec(
        option="--offset", control="offset", shape="VALUE", about="volts or amperes added to a channel after scaling",
        many=True, by_channel=True,
    ),
    Setting.GAP_WORDS: SettingSpec(
        option="--gap-word", control="gap words", shape="WORD",
        about="a cell that stands for a sample that is missing or over range", many=True,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Advice:
    """A setting with a value.

    Attributes
    ----------
    setting : Setting
        What to tell.
    value : str
        What to tell it; empty where the builder has to know.
    channel : str
        For which channel; empty where it is for the whole file.

    Examples
    --------
    >>> Advice(Setting.UNITS, "mV", "CH 1").as_option
    "--unit 'CH 1=mV'"
    >>> Advice(Setting.UNITS, "mV", "CH 1").as_control
    '"units": CH 1=mV'
    """

    setting: Setting
    value: str = ""
    channel: str = ""

    @property
    def as_option(self) -> str:
        """It as it is typed behind the command."""
        spec = SETTINGS[self.setting]
        value = shlex.quote(self._told(self.value)) if self.value else self._told(spec.shape)
        return f"{spec.option} {value}"

    @property
    def as_control(self) -> str:
        """It as it is set on the page."""
        spec = SETTINGS[self.setting]
        told = self.value or (spec.shape.lower() if spec.by_channel else "")
        return f'"{spec.control}"' + (f": {self._told(told)}" if told else "")

    def _told(self, value: str) -> str:
        return f"{self.channel}={value}" if self.channel else value


@dataclass(frozen=True)
class Way:
    """What is told about a capture that is read already: its own option of the command and control of the page.

    Attributes
    ----------
    as_option : str
        As it is typed behind the command.
    as_control : str
        As it is set on the page.
    """

    as_option: str
    as_control: str


Part = str | Advice | Way


@dataclass(frozen=True)
class Wording:
    """A sentence, its advice as parts of it.

    Attributes
    ----------
    parts : tuple of str, Advice or Way
        From the left.
    """

    parts: tuple[Part, ...]

    @property
    def for_command(self) -> str:
        """The sentence with options of the command."""
        return "".join(part if isinstance(part, str) else part.as_option for part in self.parts)

    @property
    def for_page(self) -> str:
        """The sentence with controls of the page."""
        return "".join(part if isinstance(part, str) else part.as_control for part in self.parts)


def wording(*parts: Part) -> Wording:
    """A sentence from its ``parts``.

    Parameters
    ----------
    *parts : str, Advice or Way
        From the left.

    Returns
    -------
    Wording
        The sentence.
    """
    return Wording(parts)


def either(ways: Sequence[Advice]) -> list[str | Advice]:
    """Several pieces of advice as parts of a sentence, "or" between them.

    Parameters
    ----------
    ways : sequence of Advice
        One at least.

    Returns
    -------
    list of str or Advice
        The parts.
    """
    parts: list[str | Advice] = []
    for number, way in enumerate(ways):
        parts += [" or ", way] if number else [way]
    return parts


WITHOUT_TIMES = ("leave the times out with ", Advice(Setting.TIME_COLUMN, "0"), " and ", Advice(Setting.INTERVAL))


class CaptureRefused(TraceError):
    """A capture that cannot be read as it stands, or in two ways.

    Parameters
    ----------
    wordings : sequence of Wording
        What is wrong and what to tell, one a problem.
    source : str
        The capture's name; empty when there is none.

    Examples
    --------
    >>> refused = CaptureRefused([wording("no sample interval; give ", Advice(Setting.INTERVAL))], "scope.csv")
    >>> print(refused)
    scope.csv: no sample interval; give --interval SECONDS
    >>> print(refused.for_page)
    scope.csv: no sample interval; give "interval"
    """

    def __init__(self, wordings: Sequence[Wording], source: str = "") -> None:
        self.wordings = tuple(wordings)
        super().__init__([each.for_command for each in wordings], source)

    @property
    def for_page(self) -> str:
        """The message with the controls of the page."""
        return str(TraceError([each.for_page for each in self.wordings], self.source))

    def named(self, source: str) -> CaptureRefused:
        """The same with a name for the capture, where it has none.

        Parameters
        ----------
        source : str
            The name.
        """
        return CaptureRefused(self.wordings, self.source or source)


def refused(*parts: Part) -> CaptureRefused:
    """An error of one sentence.

    Parameters
    ----------
    *parts : str, Advice or Way
        From the left.

    Returns
    -------
    CaptureRefused
        To be raised.
    """
    return CaptureRefused([Wording(parts)])
