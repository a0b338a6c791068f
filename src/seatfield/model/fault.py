"""A fault: trouble with a file, told with its place and its mend."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong at one place of a file.

    Parameters
    ----------
    file
        The file as the person named it.
    line
        Line counted from 1; 0 where the file as a whole is meant.
    key
        The key in the file, such as ``opening[2].width``.
    found
        What stands there.
    wanted
        What would be right, as a phrase that completes "wanted …".
    nearest
        The known key or value that is closest to what was found, where one is close.
    """

    file: str
    line: int
    key: str
    found: str
    wanted: str
    nearest: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        about = f" {self.key}:" if self.key else ""
        hint = f" Did you mean {self.nearest!r}?" if self.nearest else ""
        return f"{place}:{about} found {self.found}; wanted {self.wanted}.{hint}"
