"""Where each key and value stands in a TOML text that tomllib has accepted.

tomllib tells no positions; this scanner trusts it for correctness and only finds the spans, so that faults can name a
line and edits can change a value without touching a byte beside it. The grammar is that of TOML 1.0.
"""

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field

Path = tuple[str | int, ...]
"""Keys and list positions from the top of the file, such as ``("seat", 0, "at", 1)``."""


@dataclass(frozen=True, slots=True)
class Span:
    """A value and the key before it, as offsets into the text.

    Parameters
    ----------
    key_start
        Where the key starts; of an element of a list, where the element starts.
    start, end
        The value's own text is ``text[start:end]``.
    """

    key_start: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Header:
    """A table's header line and the end of its last own key.

    Parameters
    ----------
    path
        With the position of each table of a list.
    start, end
        From the first bracket to the last.
    body_end
        End of the last value under this header; of the header where there is none.
    last_key_start
        Where its last key starts; None where it has none.
    """

    path: Path
    start: int
    end: int
    body_end: int
    last_key_start: int | None = None


@dataclass(frozen=True, slots=True)
class Places:
    """Every key of a text with its place.

    Parameters
    ----------
    text
        The text, line ends untouched.
    spans
        For each key with a value, and each element of a list: where it stands.
    headers
        The headers in the order of the text; the first is the file itself, of no length.
    mentions
        For every path, tables without a value included: the offset where it is first named.
    """

    text: str
    spans: dict[Path, Span]
    headers: tuple[Header, ...]
    mentions: dict[Path, int]
    _lines: tuple[int, ...] = field(repr=False)

    def line(self, path: Path) -> int:
        """Return the line, counted from 1, of a path or of the nearest table around it that stands in the text."""
        while path and path not in self.mentions:
            path = path[:-1]
        return self.line_at(self.mentions[path]) if path else 1

    def line_at(self, offset: int) -> int:
        """Return the line, counted from 1, of an offset."""
        return bisect_right(self._lines, offset)

    def source(self, path: Path) -> str | None:
        """Return the value's own text, or None where the path has no value of its own."""
        span = self.spans.get(path)
        return None if span is None else self.text[span.start : span.end]


_SPACE = re.compile(r"[ \t]*")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}#\s]+(?: \d\d:[^,\]}#\s]+)?")


def places(text: str) -> Places:
    """Find every key of a text.

    Parameters
    ----------
    text : str
        TOML that tomllib accepts.

    Returns
    -------
    Places
        Spans, headers and first mentions.

    Raises
    ------
    ValueError
        If the text is no TOML; tomllib is the judge of that, this only notices.
    """
    return _Scanner(text).scan()


class _Scanner:
    """A position in the text and what was found before it."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.spans: dict[Path, Span] = {}
        self.mentions: dict[Path, int] = {}
        self.lists: dict[Path, int] = {}
        self.headers = [Header((), 0, 0, 0)]

    def scan(self) -> Places:
        self._skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                self._header()
            else:
                self._under_header()
            self._skip(_BLANK)
        lines = (0, *(match.end() for match in re.finditer("\n", self.text)))
        return Places(self.text, self.spans, tuple(self.headers), self.mentions, lines)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        if match := pattern.match(self.text, self.at):
            self.at = match.end()

    def _take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"the text is no TOML at offset {self.at}")
        self.at = match.end()
        return match[0]

    def _next_is(self, sign: str) -> bool:
        if self.text.startswith(sign, self.at):
            self.at += len(sign)
            return True
        return False

    def _header(self) -> None:
        start, double = self.at, self.text.startswith("[[", self.at)
        self.at += 2 if double else 1
        keys = self._keys()
        self.at += 2 if double else 1
        path: Path = (*self._resolved(keys[:-1], start), keys[-1])
        self.mentions.setdefault(path, start)
        if double:
            count = self.lists.get(path, 0)
            self.lists[path] = count + 1
            path = (*path, count)
            self.mentions[path] = start
        self.headers.append(Header(path, start, self.at, self.at))

    def _resolved(self, keys: list[str], start: int) -> Path:
        path: Path = ()
        for key in keys:
            path = (*path, key)
            self.mentions.setdefault(path, start)
            if path in self.lists:
                path = (*path, self.lists[path] - 1)
        return path

    def _under_header(self) -> None:
        here, start = self.headers[-1], self.at
        self._pair(here.path)
        self.headers[-1] = Header(here.path, here.start, here.end, self.at, start)

    def _pair(self, table: Path) -> None:
        start = self.at
        path = table
        for key in self._keys():
            path = (*path, key)
            self.mentions.setdefault(path, start)
        self._next_is("=")
        self._skip(_SPACE)
        self._value(path, start)

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._skip(_SPACE)
            quoted = self.text[self.at] in "\"'"
            token = self._take(_STRING if quoted else _BARE_KEY)
            keys.append(tomllib.loads(f"key = {token}")["key"] if quoted else token)
            self._skip(_SPACE)
            if not self._next_is("."):
                return keys

    def _value(self, path: Path, key_start: int) -> None:
        start = self.at
        self.mentions.setdefault(path, key_start)
        if self._next_is("["):
            self._elements(path)
        elif self._next_is("{"):
            self._inline_table(path)
        else:
            self._take(_STRING if self.text[self.at] in "\"'" else _SCALAR)
        self.spans[path] = Span(key_start, start, self.at)

    def _elements(self, path: Path) -> None:
        count = 0
        self._skip(_BLANK)
        while not self._next_is("]"):
            self._value((*path, count), self.at)
            count += 1
            self._skip(_BLANK)
            self._next_is(",")
            self._skip(_BLANK)

    def _inline_table(self, path: Path) -> None:
        self._skip(_BLANK)
        while not self._next_is("}"):
            self._pair(path)
            self._skip(_BLANK)
            self._next_is(",")
            self._skip(_BLANK)
