"""From a file or bytes to blocks of whole lines in UTF-8, whatever the encoding and the line ends.

``open_blocks`` is the way in; ``find_encoding`` says which codec and why. A file is read piece by piece,
so that a capture of gigabytes never stands in memory as text.
"""

from __future__ import annotations

import codecs
import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from inrushlib.errors import TraceError
from inrushlib.trace.read.settings import Advice, Setting, refused

HEAD_BYTES = 1 << 18
BLOCK_BYTES = 1 << 20
WIDE_BLOCK_BYTES = 1 << 21  # where lines are long: each block costs something for each of its columns
_LONG_LINE = 200  # bytes
_TAIL_BYTES = 1 << 10
_LONGEST_SHOWN = 200  # characters of a line that is shown

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


@dataclass(kw_only=True)
class Blocks:
    """The lines of a capture: ``head`` first, then ``rest``; ``checksum`` is complete after the last.

    Parameters
    ----------
    head : bytes
        The first lines in UTF-8, about a quarter of a megabyte when the file has as much.
    rest : iterator of bytes
        All further lines, some at a time.
    size : int
        Bytes of the whole capture [1].
    sentences : list of str
        What was inferred about encoding and line ends.
    """

    head: bytes
    rest: Iterator[bytes]
    size: int
    sentences: list[str]
    _hash: hashlib._Hash

    @property
    def checksum(self) -> str:
        """SHA-256 of the bytes that were read so far, hexadecimal."""
        return self._hash.hexdigest()


def find_encoding(head: bytes, chosen: str | None = None) -> tuple[str, int, str]:
    """Codec of a text, the length of its byte order mark, and a sentence when it was inferred.

    Parameters
    ----------
    head : bytes
        The beginning of the text.
    chosen : str or None
        The codec when the caller knows it.

    Returns
    -------
    tuple of str, int and str
        Codec, bytes to skip [1], sentence.

    Raises
    ------
    TraceError
        Where the chosen codec is not known.

    Examples
    --------
    >>> find_encoding(b"\\xff\\xfet\\x00")[:2]
    ('utf-16-le', 2)
    """
    mark, marked = next(((m, c) for m, c in _MARKS if head.startswith(m)), (b"", ""))
    if chosen is not None:
        try:
            b"a\0".decode(chosen, "replace")
            codec = codecs.lookup(chosen).name
        except (LookupError, ValueError):
            told = Advice(Setting.ENCODING, chosen)
            raise refused(told, " is not known; accepted: utf-8, utf-16-le, cp1252 and other codecs") from None
        return codec, len(mark) if marked == codec else 0, ""
    if marked:
        return marked, len(mark), f"encoding: {marked.upper()}, from the byte order mark"
    sample = head[:4096]
    if len(sample) > 3 and sample[1::2].count(0) > 0.6 * len(sample) / 2 and not sample[::2].count(0):
        return "utf-16-le", 0, "encoding: UTF-16-LE without a byte order mark, from the zero bytes"
    if len(sample) > 3 and sample[::2].count(0) > 0.6 * len(sample) / 2 and not sample[1::2].count(0):
        return "utf-16-be", 0, "encoding: UTF-16-BE without a byte order mark, from the zero bytes"
    try:
        codecs.getincrementaldecoder("utf-8")("strict").decode(head)
    except UnicodeDecodeError:
        return "latin-1", 0, "encoding: Latin-1, since the bytes are not valid UTF-8"
    return "utf-8", 0, "encoding: UTF-8"


def open_blocks(path_or_bytes: str | os.PathLike[str] | bytes, chosen: str | None = None) -> Blocks:
    """Open a capture and read its first lines.

    Parameters
    ----------
    path_or_bytes : str, path or bytes
        The file, or what stands in it.
    chosen : str or None
        The codec when the caller knows it.

    Returns
    -------
    Blocks
        The lines, in UTF-8.
    """
    size = len(path_or_bytes) if isinstance(path_or_bytes, bytes) else _size(path_or_bytes)
    digest = hashlib.sha256()
    pieces = _pieces(path_or_bytes)
    first = next(pieces, b"")
    digest.update(first)
    codec, skip, sentence = find_encoding(first, chosen)
    sentences = [sentence] if sentence else []

    def text() -> Iterator[bytes]:
        decoder = None if codec == "utf-8" else codecs.getincrementaldecoder(codec)("replace")
        yield first[skip:] if decoder is None else decoder.decode(first[skip:]).encode("utf-8", "replace")
        for piece in pieces:
            digest.update(piece)
            yield piece if decoder is None else decoder.decode(piece).encode("utf-8", "replace")
        if decoder is not None:
            yield decoder.decode(b"", True).encode("utf-8", "replace")

    lines = _whole_lines(text(), sentences)
    head = next(lines, b"")
    return Blocks(head=head, rest=lines, size=size, sentences=sentences, _hash=digest)


def _size(path: str | os.PathLike[str]) -> int:
    try:
        return os.stat(path).st_size
    except (OSError, ValueError) as error:
        raise _unreadable(path, error) from None


def _unreadable(path: str | os.PathLike[str], error: Exception) -> TraceError:
    reason = getattr(error, "strerror", None) or str(error)
    return TraceError(f"cannot be read ({reason}); a text file of samples is expected", Path(path).name)


def _pieces(path_or_bytes: str | os.PathLike[str] | bytes) -> Iterator[bytes]:
    """The bytes in pieces: a small one for the head, then larger ones."""
    if isinstance(path_or_bytes, bytes):
        yield path_or_bytes[:HEAD_BYTES]
        for start in range(HEAD_BYTES, len(path_or_bytes), BLOCK_BYTES):
            yield path_or_bytes[start : start + BLOCK_BYTES]
        return
    try:
        with open(path_or_bytes, "rb") as file:
            size = HEAD_BYTES
            while piece := file.read(_to_line_end(file, size)):
                yield piece
                long = piece[:_TAIL_BYTES].count(b"\n") < _TAIL_BYTES // _LONG_LINE
                size = max(BLOCK_BYTES, WIDE_BLOCK_BYTES) if long else BLOCK_BYTES
    except (OSError, ValueError) as error:
        raise _unreadable(path_or_bytes, error) from None


def _to_line_end(file: BinaryIO, size: int) -> int:
    """How many of the next bytes end with a line, so that no line has to be joined from two pieces."""
    here = file.tell()
    start = here + max(0, size - _TAIL_BYTES)
    file.seek(start)
    end = file.read(here + size - start).rfind(b"\n") + 1
    file.seek(here)
    return start - here + end if end else size


def _whole_lines(pieces: Iterator[bytes], sentences: list[str]) -> Iterator[bytes]:
    """Cut pieces at line ends; a file with lone carriage returns is given line feeds."""
    block, kept = b"", [b""]
    lone_returns = None
    for piece in pieces:
        if lone_returns is None and (b"\n" in piece or b"\r" in piece):
            lone_returns = b"\n" not in piece
            if lone_returns:
                sentences.append("line ends: carriage return alone")
        if lone_returns:
            piece = piece.replace(b"\r", b"\n")
        cut = piece.rfind(b"\n") + 1
        if cut == 0:
            kept.append(piece)
            continue
        if block:
            yield block
        whole = piece if cut == len(piece) else piece[:cut]
        block = b"".join([*kept, whole]) if any(kept) else whole
        kept = [piece[cut:]]
    # The last line may have no end of its own; it goes with the block before it.
    last = b"".join(kept)
    if block or last:
        yield block + last if last else block


def first_lines(path_or_bytes: str | os.PathLike[str] | bytes, count: int, encoding: str | None = None) -> list[str]:
    """The first lines of a capture as text, each cut when it is long.

    Parameters
    ----------
    path_or_bytes : str, path or bytes
        The file, or what stands in it.
    count : int
        How many lines at most [1].
    encoding : str or None
        The codec when the caller knows it.

    Returns
    -------
    list of str
        The lines without their ends.

    Raises
    ------
    TraceError
        Where the file cannot be read or the codec is not known.

    Examples
    --------
    >>> first_lines(b"t [s];x [V]\\n0;1\\n1;2\\n", 2)
    ['t [s];x [V]', '0;1']
    """
    head = open_blocks(path_or_bytes, encoding).head[: count * _LONGEST_SHOWN * 4]
    return [line[:_LONGEST_SHOWN] for line in head.decode("utf-8", "replace").splitlines()[:count]]
