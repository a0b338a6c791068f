"""The project file's bytes as text and as plain data, or the fault that stops the reading."""

import codecs
import re
import tomllib
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path as FilePath
from typing import Any

from seatfield.model import Fault
from seatfield.store.records import Written

FILE_NAME = "project.toml"
LARGEST_BYTES = 1_000_000
DEEPEST = 40
"""Brackets within brackets; no table of the format comes near."""

_WIDE_MARKS = {
    codecs.BOM_UTF32_LE: "UTF-32",
    codecs.BOM_UTF32_BE: "UTF-32",
    codecs.BOM_UTF16_LE: "UTF-16",
    codecs.BOM_UTF16_BE: "UTF-16",
}


class UnreadableFileError(Exception):
    """The file stops the reading before any key is seen; carries the fault that says why.

    Attributes
    ----------
    fault : Fault
        What stops it.
    mended : str
        The text with what was likely meant, so that the reading can go on to further faults; empty where nobody knows.
    """

    def __init__(self, fault: Fault, mended: str = "") -> None:
        self.fault = fault
        self.mended = mended
        super().__init__(str(fault))


@dataclass(frozen=True, slots=True)
class Source:
    """A file as it was read.

    Parameters
    ----------
    path
        Where it stands.
    text
        Its text, line ends kept, without a byte order mark.
    digest
        SHA-256 of its bytes, in hexadecimal.
    marked
        Whether it starts with a byte order mark, which writing keeps.
    """

    path: FilePath
    text: str
    digest: str
    marked: bool


def file_in(path: FilePath) -> FilePath:
    """Return the project file that a folder or a file's own path stands for.

    Parameters
    ----------
    path : pathlib.Path
        A project's folder, or its project.toml.

    Returns
    -------
    pathlib.Path
        The file.
    """
    try:
        return path / FILE_NAME if path.is_dir() else path
    except OSError:  # a folder above it that may not be entered; opening the file will say so
        return path


def digest_of(content: bytes) -> str:
    """Return the SHA-256 of a file's bytes, in hexadecimal.

    Parameters
    ----------
    content : bytes
        All of it.

    Returns
    -------
    str
        64 characters.
    """
    return sha256(content).hexdigest()


def read_source(path: FilePath) -> Source:
    """Read a project file.

    Parameters
    ----------
    path : pathlib.Path
        A project's folder, or its project.toml.

    Returns
    -------
    Source
        Text and digest.

    Raises
    ------
    UnreadableFileError
        If there is no such file, or it is too large, or no UTF-8.
    """
    file = file_in(path)
    try:
        if file.exists() and not file.is_file() and not file.is_dir():
            found = "something that is neither a file nor a folder"
            raise UnreadableFileError(Fault(str(file), 0, "", found, f"a folder with a {FILE_NAME}"))
        with file.open("rb") as stream:
            content = stream.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise UnreadableFileError(_unopened(file, error)) from None
    return source_of(content, file)


def _unopened(file: FilePath, error: Exception) -> Fault:
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        what = f"a folder with a {FILE_NAME}, or the path of one"
        return Fault(str(file), 0, "", "no such file", what, _similar_file(file))
    if isinstance(error, IsADirectoryError):
        return Fault(str(file), 0, "", "a folder", f"a file named {FILE_NAME}, not a folder of that name")
    reason = getattr(error, "strerror", None) or str(error)
    return Fault(str(file), 0, "", f"a file that does not open ({reason})", "a file that may be read")


def _similar_file(file: FilePath) -> str:
    try:
        found = sorted(file.parent.glob("*.toml"))
    except OSError:
        return ""
    return str(found[0]) if len(found) == 1 else ""


def source_of(content: bytes, file: FilePath) -> Source:
    """Decode a project file's bytes.

    Parameters
    ----------
    content : bytes
        All of it, or at least more than is allowed.
    file : pathlib.Path
        Its path, for faults.

    Returns
    -------
    Source
        Text and digest.

    Raises
    ------
    UnreadableFileError
        If it is too large, or no UTF-8.
    """
    name = str(file)
    if len(content) > LARGEST_BYTES:
        what = f"a project file of at most {LARGEST_BYTES // 1_000_000} MB"
        raise UnreadableFileError(Fault(name, 0, "", f"more than {LARGEST_BYTES:,} bytes", what))
    for mark, encoding in _WIDE_MARKS.items():
        if content.startswith(mark):
            what = "text saved as UTF-8, which editors offer when saving"
            raise UnreadableFileError(Fault(name, 1, "", f"text saved as {encoding}", what))
    marked = content.startswith(codecs.BOM_UTF8)
    try:
        text = content.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        found = f"the byte 0x{error.object[error.start]:02x}, which is no UTF-8"
        what = "text saved as UTF-8, which editors offer when saving"
        raise UnreadableFileError(Fault(name, line, "", found, what)) from None
    return Source(file, text, digest_of(content), marked)


def plain_data(text: str, file: str) -> dict[str, Any]:
    """Parse a project file's text.

    Parameters
    ----------
    text : str
        TOML.
    file : str
        The file's name, for faults.

    Returns
    -------
    dict
        Plain data; decimal numbers remember how they were written.

    Raises
    ------
    UnreadableFileError
        If it is no TOML, with the line where it stops being so.
    """
    try:
        data = tomllib.loads(text, parse_float=Written)
    except tomllib.TOMLDecodeError as error:
        raise _broken(text, file, str(error)) from None
    except RecursionError:
        found = "brackets nested deeper than any project needs"
        raise UnreadableFileError(Fault(file, _deepest_line(text), "", found, "fewer brackets")) from None
    except ValueError:  # an integer with thousands of digits
        line = max(range(len(lines := text.splitlines() or [""])), key=lambda n: _digits(lines[n])) + 1
        raise UnreadableFileError(
            Fault(file, line, "", "a number of thousands of digits", "fewer digits")
        ) from None
    if _depth(data) > DEEPEST:
        found = "brackets nested deeper than any project needs"
        raise UnreadableFileError(Fault(file, _deepest_line(text), "", found, "fewer brackets"))
    return data


def _broken(text: str, file: str, message: str) -> UnreadableFileError:
    reason, _, place = message.partition(" (at ")
    told = re.search(r"line (\d+), column (\d+)", place)
    lines = text.count("\n") + 1
    line = min(int(told[1]), lines) if told else lines - text.endswith("\n")
    if told and (slip := _slip(text.splitlines()[line - 1] if text else "")):
        return UnreadableFileError(
            Fault(file, line, slip.key, slip.found, slip.wanted), _with_line(text, line, slip.line)
        )
    found = f"text that is no TOML: {reason[:1].lower()}{reason[1:]}" + (
        "" if told else ", at the end of the file"
    )
    if told:
        found += f", at column {told[2]}"
    what = (
        "TOML, such as width = 0.85 or [room]" if told else "the rest of the file, which seems to be cut off"
    )
    return UnreadableFileError(Fault(file, max(line, 1), "", found, what))


@dataclass(frozen=True, slots=True)
class _Slip:
    """A value that lacks its quotes or has a comma for a point, and its line as it was likely meant."""

    key: str
    found: str
    wanted: str
    line: str


_BARE_COMMA = re.compile(r"[\w\"'\]]\s*=\s*([+-]?\d+,\d+)\s*(?:[a-zA-Z²]*\s*)?(?:#.*)?$")
_BARE_WORD = re.compile(r"^\s*([\w.\-]+)\s*=\s*([^\W\d][^\"'#\[\]{}=,]*?)\s*(?:#.*)?$")
_YES, _NO = ("yes", "true", "on", "y"), ("no", "false", "off", "n")


def _slip(line: str) -> _Slip | None:
    """Recognise a bare decimal comma, or a bare word, that a line ends in; None where it is something else."""
    if match := _BARE_COMMA.search(line):
        number = match[1]
        point = number.replace(",", ".")
        what = f'"{number}", for a decimal comma needs quotes, or {point}'
        return _Slip("", f"the bare decimal comma {number}", what, line.replace(number, point, 1))
    if match := _BARE_WORD.match(line):
        key, word = match[1], match[2]
        if word.lower() in (*_YES, *_NO):
            meant = "true" if word.lower() in _YES else "false"
            what = f"true or false, in small letters and without quotes; {word} is {meant}"
        else:
            meant = f'"{word}"'
            what = f"{meant}, for text stands in quotes"
        return _Slip(key, word, what, f"{line[: match.start(2)]}{meant}")
    return None


def _with_line(text: str, number: int, line: str) -> str:
    """Return a text with one line replaced, its end kept."""
    lines = text.splitlines(keepends=True)
    old = lines[number - 1]
    lines[number - 1] = line + old[len(old.rstrip("\r\n")) :]
    return "".join(lines)


_BESIDE_TEXT = re.compile(
    r"\"\"\".*?\"\"\"|'''.*?'''|\"(?:\\\\.|[^\"\\\\\n])*\"|'[^'\n]*'|#[^\n]*", re.DOTALL
)
_NUMBERS = re.compile(r"\[([\d\s.,+\-]*)\]")
_TIGHT = re.compile(r"(?<![\d.,])(\d{1,3},\d{1,3})(?![\d.,]*\.)(?!\d)")


def tight_commas(text: str, file: str) -> tuple[Fault, ...]:
    """Find lists that may hold a decimal comma: some of their commas have no blank, others have.

    Parameters
    ----------
    text : str
        TOML that parses.
    file : str
        The file's name, for faults.

    Returns
    -------
    tuple of Fault
        One for each such list: ``[4,35, 2.00]`` can be read either way, so the person is asked.
    """
    bare = _BESIDE_TEXT.sub(lambda match: re.sub(r"[^\n]", "_", match[0]), text)
    faults = []
    for numbers in _NUMBERS.finditer(bare):
        tight = _TIGHT.search(numbers[1])
        if tight is None or not re.search(r",\s", numbers[1].strip().rstrip(",")):
            continue
        line = bare.count("\n", 0, numbers.start(1) + tight.start()) + 1
        pair = tight[1]
        point, blank = pair.replace(",", "."), pair.replace(",", ", ")
        what = f"{point} if that is a decimal comma, or {blank} if these are two numbers"
        faults.append(
            Fault(file, line, "", f"{pair} in a list whose other commas have a blank behind them", what)
        )
    return tuple(faults)


def _digits(line: str) -> int:
    return max((len(run) for run in re.findall(r"[0-9_]+", line)), default=0)


def _deepest_line(text: str) -> int:
    lines = text.splitlines() or [""]
    return max(range(len(lines)), key=lambda number: lines[number].count("[") + lines[number].count("{")) + 1


def _depth(data: Any) -> int:
    deepest, waiting = 0, [(data, 0)]
    while waiting and deepest <= DEEPEST:
        value, depth = waiting.pop()
        deepest = max(deepest, depth)
        inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        waiting += [(item, depth + 1) for item in inner]
    return deepest
