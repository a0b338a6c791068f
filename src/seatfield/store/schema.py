"""The project file's JSON Schema, from the records, so that editors complete and explain its keys."""

from typing import Any

from pydantic.json_schema import GenerateJsonSchema

from seatfield.store.records import FORMAT, ProjectRecord

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _Shape(GenerateJsonSchema):
    """Defaults are in SI while the file may be in feet, so that only words and flags are given."""

    def default_schema(self, schema: Any) -> dict[str, Any]:
        """Describe a field without its default, but for a word or a flag."""
        inner = self.generate_inner(schema["schema"])
        default = schema.get("default")
        return inner | {"default": default} if isinstance(default, str | bool) and default != "" else inner


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the project file.

    Returns
    -------
    dict
        Plain data, in the 2020-12 dialect; it constrains the shape, while names, ranges and references are checked by
        opening the file.
    """
    found = ProjectRecord.model_json_schema(mode="validation", by_alias=True, schema_generator=_Shape)
    described = {"$schema": DIALECT, "title": f"Seatfield project file, format {FORMAT}"}
    return described | {key: _as_toml_has_it(value) for key, value in found.items() if key not in described}


def _as_toml_has_it(value: Any) -> Any:
    """Drop what TOML has not, which is null, and the titles that only repeat the keys."""
    if isinstance(value, list):
        return [_as_toml_has_it(item) for item in value if item != {"type": "null"}]
    if not isinstance(value, dict):
        return value
    found = {key: _as_toml_has_it(item) for key, item in value.items() if not _repeats(key, item)}
    alternatives = found.get("anyOf")
    if isinstance(alternatives, list) and len(alternatives) == 1:
        del found["anyOf"]
        return alternatives[0] | found
    return found


def _repeats(key: str, value: Any) -> bool:
    return key == "title" and isinstance(value, str)
