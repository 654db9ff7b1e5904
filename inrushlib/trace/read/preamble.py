"""What a preamble says: keys and values before or beside the samples, for any key spelling and delimiter.

``collect_facts`` gathers them; ``Facts.quantity`` and ``Facts.texts`` look one up by what it means.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

from inrushlib.trace.read.cells import is_number
from inrushlib.trace.read.settings import Advice, Setting, refused
from inrushlib.trace.read.units import find_unit, is_unit_cell, split_label

#: What a key means, as a pattern for the key in lower case with blanks for everything but letters and digits.
_MEANINGS = {
    "interval": r"((sampl\w*|horizontal|hor|x|time) ?)?(interval|increment|incr)|sampl\w* (period|time|step)|"
    r"x ?inc(r)?|time step|(delta|d) ?[tx]|(time|seconds?) per (sample|point)",
    "rate": r"sampl(es?|ing)? ?(rate|frequency|clock)|samples per second",
    "start": r"((time|x|horizontal|hor) )?(start|orig(in)?|zero)( time)?|x ?(zero|org|orig(in)?|start)|t0|"
    r"(time of )?first (sample|point)( time)?",
    "start_index": r"(start|first) (index|sample (number|index))",
    "trigger_index": r"trigger (index|sample|point)",
    "time_unit": r"(horizontal|hor|x|time|interval) units?",
    "value_unit": r"(vertical|vert|y|value) units?",
    "scale": r"((vertical|vert|v|y) )?(scale|sensitivity)|(volts?|v) ?(per )?div(ision)?",
    "position": r"((vertical|vert|v|y) )?position",
    "offset": r"(vertical|vert|v) offset|offset",
    "probe": r"probe( (ratio|attenuation|multiple|multiplier|factor))?|attenuation",
    "count_value": r"(y|vertical) ?mult(iplier)?|(volts?|amperes?|amps?|v|a) per (count|lsb|code)|y ?incr(ement)?",
    "count_zero": r"y ?(off|ref(erence)?)|(zero|offset|reference) (counts?|level|code)|(counts?|code) (zero|offset)",
    "value_zero": r"y ?(zero|origin)",
    "counts_per_division": r"(counts?|codes?|levels?) per div(ision)?",
    "label": r"label|trace name|waveform name",
    "source": r"source|channel|waveform source",
}
#: What a preamble says of the samples themselves; it tells nothing of how to read them, but shows whether they were.
_MEASURED = {
    "highest": r"max(imum)?( value)?|highest( value)?",
    "lowest": r"min(imum)?( value)?|lowest( value)?",
    "mean": r"mean( value)?|average|avg",
    "reach": r"v ?pp|pk ?pk|peak to peak( value)?",
}
_PATTERNS = {meaning: re.compile(pattern) for meaning, pattern in (_MEANINGS | _MEASURED).items()}
_QUANTITY = re.compile(
    r"(?:[x×]\s*)?(?P<number>[+-]?[0-9.,]+(?:[eE][+-]?[0-9]+)?)\s*(?P<unit>[^0-9\s:][^0-9:]*)?(?::1)?"
)
_WORDS = re.compile(r"[A-Z]+(?=[A-Z][a-z])|[A-Z]?[a-z]+[0-9]*|[A-Z]+[0-9]*|[0-9]+")
#: What settles a preamble that contradicts itself.
_CHOSEN_BY = {
    "interval": Setting.INTERVAL,
    "rate": Setting.INTERVAL,
    "start": Setting.START,
    "trigger_index": Setting.START,
    "counts_per_division": Setting.COUNTS_PER_DIVISION,
}
_RATES = {"": 0, "k": 3, "m": 6, "g": 9}
_LONGEST_FACT = 500


@dataclass(frozen=True)
class Fact:
    """One key of a preamble with its values.

    Attributes
    ----------
    key : str
        In lower case, with single blanks between words.
    unit : str
        Written beside the key; empty where there is none.
    values : tuple of str
        As written, one a cell.
    line : int
        Number of its line [1].
    """

    key: str
    unit: str
    values: tuple[str, ...]
    line: int


@dataclass
class Facts:
    """The facts of a preamble.

    Attributes
    ----------
    decimal : str
        Decimal mark of its numbers.
    found : list of Fact
        All of them, in the order of the file.
    """

    decimal: str
    found: list[Fact] = field(default_factory=list)

    def matching(self, meaning: str) -> list[Fact]:
        """The facts whose key has a meaning.

        Parameters
        ----------
        meaning : str
            Such as ``"interval"``, ``"scale"`` or ``"probe"``.
        """
        return [fact for fact in self.found if _PATTERNS[meaning].fullmatch(fact.key)]

    def texts(self, meaning: str) -> list[str]:
        """All values of the facts with a meaning, blanks left out.

        Parameters
        ----------
        meaning : str
            As in :meth:`matching`.
        """
        return [value for fact in self.matching(meaning) for value in fact.values if value]

    def numbers(self, meaning: str) -> list[tuple[float, str, int]]:
        """Number, unit and line of each value of the facts with a meaning.

        Parameters
        ----------
        meaning : str
            As in :meth:`matching`.
        """
        listed: list[tuple[float, str, int]] = []
        for fact in self.matching(meaning):
            for at, value in enumerate(fact.values):
                read = read_quantity(value, self.decimal)
                if read is None:
                    continue
                following = fact.values[at + 1] if at + 1 < len(fact.values) else ""
                beside = following if is_unit_cell(following) or following.lower().endswith("div") else ""
                unit = read[1] or beside or fact.unit
                listed.append((read[0], unit, fact.line))
        return listed

    def single(self, meaning: str) -> tuple[float, str, int] | None:
        """The one number with a meaning, its unit and its line; None where there is none.

        Parameters
        ----------
        meaning : str
            As in :meth:`matching`.

        Raises
        ------
        CaptureRefused
            Where the preamble contradicts itself.
        """
        listed = self.numbers(meaning)
        if not listed:
            return None
        for other in listed[1:]:
            if not math.isclose(other[0], listed[0][0], rel_tol=1e-9) or other[1] != listed[0][1]:
                raise refused(
                    f"line {other[2]}: the {meaning.replace('_', ' ')} is {other[0]:g} {other[1]}".rstrip()
                    + f", but line {listed[0][2]} says {listed[0][0]:g} {listed[0][1]}".rstrip()
                    + "; choose with ",
                    Advice(_CHOSEN_BY.get(meaning, Setting.INTERVAL)),
                )
        return listed[0]


def collect_facts(rows: list[tuple[int, list[str]]], decimal: str) -> Facts:
    """Gather keys and values from the cells of a preamble.

    Parameters
    ----------
    rows : list of tuple of int and list of str
        Line number [1] and cells of each line.
    decimal : str
        The decimal mark of the samples, taken for the preamble too.

    Returns
    -------
    Facts
        What was found.

    Examples
    --------
    >>> facts = collect_facts([(1, ["Sampling period", "2us"]), (2, ["Probe: 10X"])], ".")
    >>> facts.single("interval"), facts.single("probe")
    ((2.0, 'us', 1), (10.0, 'X', 2))
    """
    facts = Facts(decimal)
    for at, (line, cells) in enumerate(rows):
        cells = [cell for cell in cells[:64]]
        while cells and not cells[0]:
            cells = cells[1:]
        if not cells:
            continue
        key, values = _key_and_values(cells)
        if key:
            facts.found.append(_fact(key, values, line))
        below = rows[at + 1][1] if at + 1 < len(rows) else []
        if len(cells) >= 2 and len(below) == len(cells) and _names_the_next(cells, below, decimal):
            facts.found.extend(_fact(k, [v], line) for k, v in zip(cells, below, strict=True))
    return facts


def known_key(text: str) -> bool:
    """Whether a cell is a key of a preamble that this reader understands.

    Parameters
    ----------
    text : str
        The cell.

    Returns
    -------
    bool
        True for a known key.

    Examples
    --------
    >>> known_key("Vertical Scale:"), known_key("bus_voltage")
    (True, False)
    """
    key = _plain(split_label(text.rstrip(":= "))[0])
    return any(_PATTERNS[meaning].fullmatch(key) for meaning in _MEANINGS)


def read_quantity(text: str, decimal: str) -> tuple[float, str] | None:
    """Number and unit of a preamble's value such as ``1.0us``, ``10X`` or ``10:1``; None when it is no number.

    Parameters
    ----------
    text : str
        The value.
    decimal : str
        The decimal mark.

    Returns
    -------
    tuple of float and str, or None
        Number as written, unit as written.

    Examples
    --------
    >>> read_quantity("500 mV", "."), read_quantity("10:1", "."), read_quantity("CH1", ".")
    ((500.0, 'mV'), (10.0, ''), None)
    """
    match = _QUANTITY.fullmatch(text.strip()) if len(text) < _LONGEST_FACT else None
    if match is None:
        return None
    # Whole samples do not tell the decimal mark; then the preamble's own numbers do.
    if not any(is_number(match["number"], mark) for mark in (decimal, ".", ",")):
        return None
    value = float(match["number"].replace(",", "."))
    return (value, (match["unit"] or "").strip()) if math.isfinite(value) else None


def rate_in_hertz(value: float, unit: str) -> float | None:
    """Samples per second from a number with ``Sa/s``, ``kS/s``, ``MHz`` or no unit; None for another unit.

    Parameters
    ----------
    value : float
        The number as written [``unit``].
    unit : str
        The unit as written.

    Returns
    -------
    float or None
        Rate [Hz].

    Examples
    --------
    >>> rate_in_hertz(500.0, "kSa/s"), rate_in_hertz(1.0, "V")
    (500000.0, None)
    """
    match = re.fullmatch(r"([kmg]?)(sa?/s(ec)?|samples/s(ec)?|sps|hz)?", unit.strip().lower())
    return value * 10.0 ** _RATES[match[1]] if match else None


def _plain(key: str) -> str:
    return " ".join(_WORDS.findall(key[:_LONGEST_FACT])).lower()


def _fact(key: str, values: list[str], line: int) -> Fact:
    name, unit = split_label(key.strip().rstrip(":= "))
    if unit:
        name = name.removesuffix(f"_{unit}")
    return Fact(_plain(name), unit, tuple(value.strip() for value in values), line)


def _key_and_values(cells: list[str]) -> tuple[str, list[str]]:
    """Key and values of a line: ``key: value`` in one cell, or a cell each."""
    for mark in (":", "="):
        key, found, value = cells[0].partition(mark)
        if found and value.strip() and not is_number(key.strip(), "."):
            return key, [value, *cells[1:]]
    return cells[0], cells[1:]


def _names_the_next(cells: list[str], below: list[str], decimal: str) -> bool:
    """Whether a line names the fields of the next one."""
    texts = all(cell and read_quantity(cell, decimal) is None for cell in cells)
    numbers = any(read_quantity(cell, decimal) is not None for cell in below)
    return texts and numbers and any(known_key(c) for c in cells[1:]) and find_unit(cells[-1]) is None
