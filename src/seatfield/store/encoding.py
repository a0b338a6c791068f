"""Plain values as TOML text, on one line each."""

import json
import re
from math import isfinite
from typing import Any

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_key(key: str) -> str:
    """Write a key, in quotes where TOML needs them.

    Parameters
    ----------
    key : str
        One key, not dotted.

    Returns
    -------
    str
        TOML.
    """
    return key if _BARE.fullmatch(key) else _string(key)


def toml_value(value: Any) -> str:
    """Write a value on one line.

    Parameters
    ----------
    value : str, bool, int, float, list, tuple or dict
        Plain data; lists and tables may nest.

    Returns
    -------
    str
        TOML.

    Raises
    ------
    TypeError
        If the value is of another type.
    ValueError
        If a number is not finite.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _string(value)
    if isinstance(value, int):
        return str(int(value))
    if isinstance(value, float):
        return _float(value)
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(item) for item in value)}]"
    if isinstance(value, dict):
        pairs = (f"{toml_key(str(key))} = {toml_value(item)}" for key, item in value.items())
        return "{ " + ", ".join(pairs) + " }" if value else "{}"
    raise TypeError(
        f"a {type(value).__name__} has no place in a project file; text, numbers, lists and tables have"
    )


def _float(value: float) -> str:
    if not isfinite(value):
        raise ValueError(f"{value} is no number that a project file may hold; a finite one is")
    text = getattr(value, "text", None) or repr(float(value))
    return str(text)


def _string(text: str) -> str:
    # JSON's escapes are TOML's, but for the delete sign, which TOML wants escaped.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
