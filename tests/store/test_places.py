"""Places of keys in TOML texts; the truth is the standard library's tomllib, a TOML 1.0 parser."""

import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from seatfield.store.places import places

TRICKY = '''# a comment with [brackets] and "quotes"
title = "a # b" # real comment
"quoted key" = 'x'
a.b.c = 1
a . "d.e" = [ 1, # one
  2, [3, { x = 4, y.z = "}" }],
]   # end
when = 1979-05-27 07:32:00 # date
text = """two
lines with "" quotes and \\""" in it"""""
raw = \'\'\'it's
raw\'\'\'
empty = []
none = {}
[ table ] # header
k=1.5e3
[table."sub table"]
[[list]]
n = 1
[[list.inner]]
v = [[0,0],[5.4,0]]
[[list.inner]]
[list.one]
q = true
[[list]]
[[list.inner]]
w = [ "a", ]
'''


def leaves(value, path=()):
    """Yield each path and value of plain data, containers included."""
    yield path, value
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, (*path, key))
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from leaves(item, (*path, number))


def check(text):
    """Every path that tomllib finds is found, and the text of each value reads back as that value."""
    data = tomllib.loads(text)
    found = places(text)
    wanted = dict(leaves(data))
    assert set(found.mentions) | {()} == set(wanted)
    for path in found.spans:
        assert tomllib.loads(f"value = {found.source(path)}")["value"] == wanted[path]
    with_value = {path for path, value in wanted.items() if not isinstance(value, dict | list)}
    assert with_value <= set(found.spans)


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_every_value_of_a_tricky_text_is_found(ends):
    """Comments, quotes, dotted keys, multi-line strings, inline tables and nested lists of tables."""
    check(TRICKY.replace("\n", ends))


def test_lines_are_those_of_the_text():
    """A key's line is where the key stands, a list element's where the element stands, a table's its header."""
    found = places(TRICKY)
    assert found.line(("title",)) == 2
    assert found.line(("a", "d.e", 2, 1, "x")) == 6
    assert found.line(("list", 1, "inner", 0, "w")) == TRICKY.splitlines().index('w = [ "a", ]') + 1
    assert found.line(("list", 1)) == TRICKY[: TRICKY.rindex("[[list]]")].count("\n") + 1


def test_a_missing_key_has_the_line_of_the_table_around_it():
    """What does not stand in the text is told at what does."""
    found = places(TRICKY)
    assert found.line(("list", 0, "missing", "deeper")) == found.line(("list", 0))
    assert found.line(("nowhere",)) == 1


_KEYS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), min_size=1, max_size=4)
_SCALARS = (
    st.integers(-(10**6), 10**6)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.booleans()
    | st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8)
)
_DATA = st.dictionaries(
    _KEYS,
    st.recursive(
        _SCALARS,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_KEYS, inner, max_size=3),
        max_leaves=8,
    ),
    max_size=4,
)


@given(_DATA)
def test_every_value_of_any_text_is_found(data):
    """Texts written by tomlkit, an independent TOML writer, from any data."""
    text = tomlkit.dumps(data)
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:  # the writer's own slips are not ours
        return
    check(text)
