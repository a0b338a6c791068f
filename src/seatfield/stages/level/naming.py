"""Names and ranges as sentences hold them."""

from collections.abc import Iterable


def listed(names: Iterable[str]) -> str:
    """Return names as a list in a sentence."""
    *before, last = tuple(names) or ("",)
    return f"{', '.join(before)} and {last}" if before else last


def span(values: Iterable[float]) -> str:
    """Return the least and the greatest of some values, rounded to the unit, as one number where they are alike."""
    known = tuple(values) or (0.0,)
    low, high = f"{min(known):.0f}", f"{max(known):.0f}"
    return low if low == high else f"{low} to {high}"
