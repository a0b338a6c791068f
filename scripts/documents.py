"""Write the reference pages docs/project-file.md and docs/plan-json.md from the published schemas.

`python scripts/documents.py` writes them; a test holds them against the schemas.
"""

import re
from pathlib import Path
from typing import Any

from seatfield.catalogue.absorption import OCTAVE_BANDS_HZ, SURFACES
from seatfield.pipeline.schemas import plan_schema, project_schema

DOCS = Path(__file__).parents[1] / "docs"
Schema = dict[str, Any]

PROJECT_HEAD = """# The project file

One folder, one `project.toml`: what is there and what is wanted. Write it by hand or in the workbench; comments and
order are kept. Plain numbers are in the project's `units`; text with a unit works everywhere (`"11 ft 6 in"`,
`"2,40 m"`, `"35 cm"`, `"14 AWG"`, `"2x2.5 mm2"`). A decimal comma needs the quotes: `"2,45"`, or `2.45`. An unknown key
is a fault that names the nearest known one.

The column *needed* says what a table cannot do without: **yes** for a key that must stand wherever its table does. The
file itself needs `room`, one `seat`, `screen` and `system`; `room` needs `ceiling` and either `floor` or `walls`. All
else may be left out: that limits what can be computed, and a finding says so.

x runs to the right and y up the page, z up from the floor. Corners are A, B, C … in the order of the file, as on plan
and sheets. A wall is told by the number of its first corner, counted from 0, or by letters: `wall = 0` and
`wall = "A-B"` are the same wall. Positions along a wall are measured from its first corner. `at` of a loudspeaker is
its acoustic centre.

This page is written from the schema that `seatfield schema` prints.
"""

PLAN_HEAD = """# The plan's JSON

`seatfield plan PROJECT --json` prints one object. Its names are a promise: they are added to, never renamed; `version`
rises when something is added. Points are metres, angles degrees, and a number's unit stands in its name. Findings of
all stages stand once, at the top, the worst first. A stage that could not run is left out.

This page is written from the schema that `seatfield schema plan` prints.
"""


def main() -> None:
    """Write both pages."""
    for name, text in pages().items():
        (DOCS / name).write_text(text, encoding="utf-8")


def pages() -> dict[str, str]:
    """Return both pages by file name."""
    return {
        "project-file.md": PROJECT_HEAD
        + _tables(project_schema(), _project_title, needed=True)
        + _finishes(),
        "plan-json.md": PLAN_HEAD + _tables(plan_schema(), lambda name: name),
    }


def _finishes() -> str:
    """Every finish of the built-in table, with the everyday words that mean it."""
    bands = " | ".join(f"{band:g} Hz" for band in OCTAVE_BANDS_HZ)
    rows = [
        f"| `{entry.name}` | {', '.join(entry.also)} | {' | '.join(f'{a:.2f}' for a in entry.absorption)} "
        f"| {_cell(entry.row)}: {entry.source} |"
        for entry in SURFACES
    ]
    lead = (
        "What `floor`, `ceiling`, `walls` and `finish` take by name, with Sabine absorption coefficients; any of the "
        "words will do. A surface that is not here is given by its octave bands: `{ 125 = 0.1, 250 = 0.1 }`."
    )
    rule = "|---" * (len(OCTAVE_BANDS_HZ) + 3)
    return (
        f"\n## Finishes\n\n{lead}\n\n| name | also | {bands} | source |\n{rule}|\n" + "\n".join(rows) + "\n"
    )


def _tables(schema: Schema, title: Any, *, needed: bool = False) -> str:
    parts = [_table("The whole", schema, "", needed=needed)]
    parts += [
        _table(title(name), entry, _first_sentence(entry), needed=needed)
        for name, entry in sorted(schema["$defs"].items())
        if "properties" in entry
    ]
    return "".join(parts)


def _project_title(name: str) -> str:
    words = re.findall(r"[A-Z][a-z]*", name.removesuffix("Record"))
    return " ".join(words).capitalize()


def _first_sentence(entry: Schema) -> str:
    return str(entry.get("description", "")).split("\n\n")[0].replace("\n", " ")


def _table(title: str, entry: Schema, sentence: str, *, needed: bool) -> str:
    told = _told(str(entry.get("description", "")))
    rows = [
        f"| `{key}` | {_need(key, entry, needed=needed)}{_kind(value)} "
        f"| {_cell(value.get('description') or told.get(key, ''))} |"
        for key, value in entry["properties"].items()
    ]
    lead = f"\n{sentence}\n" if sentence else ""
    columns = ("key", *(("needed",) if needed else ()), "value", "meaning")
    head = f"| {' | '.join(columns)} |\n{'|---' * len(columns)}|\n"
    return f"\n## {title}\n{lead}\n{head}" + "\n".join(rows) + "\n"


def _need(key: str, entry: Schema, *, needed: bool) -> str:
    if not needed:
        return ""
    return f"{'**yes**' if key in entry.get('required', ()) else ''} | "


def _told(docstring: str) -> dict[str, str]:
    """Meaning of each field, from the Parameters of a docstring."""
    told: dict[str, str] = {}
    names: list[str] = []
    for line in docstring.partition("----------\n")[2].splitlines():
        if line.startswith("    "):
            told |= {name: f"{told.get(name, '')} {line.strip()}".strip() for name in names}
        elif line.strip():
            names = [name.strip() for name in line.split(" : ")[0].split(",")]
        else:
            names = []
    return told


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def _kind(value: Schema) -> str:  # noqa: PLR0911  (one line per kind of schema)
    if "$ref" in value:
        return _reference(value["$ref"])
    if "const" in value:
        return f"`{value['const']}`"
    if "enum" in value:
        return " or ".join(f"`{entry}`" for entry in value["enum"])
    if "anyOf" in value or "oneOf" in value:
        kinds = dict.fromkeys(_kind(entry) for entry in value.get("anyOf") or value["oneOf"])
        return " or ".join(kinds)
    if value.get("type") == "array":
        return f"list of {_kind(value['items'])}" if value.get("items") else _point(value)
    if value.get("type") == "object":
        return "table"
    return {"null": "null", "string": "text", "boolean": "true or false"}.get(
        str(value.get("type")), "number"
    )


def _point(value: Schema) -> str:
    entries = value.get("prefixItems", [])
    kinds = dict.fromkeys(_kind(entry) for entry in entries)
    return f"{len(entries)} × ({', '.join(kinds)})" if entries else "list"


def _reference(target: str) -> str:
    name = target.rsplit("/", 1)[-1]
    title = _project_title(name) if name.endswith("Record") else name
    return f"[{title}](#{title.lower().replace(' ', '-')})"


if __name__ == "__main__":
    main()
