"""Files of the project folder that the page may see: pictures under the plan, and nothing else."""

import re
from pathlib import Path

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _.-]{0,100}")
# What a file of each sort starts with (PNG: ISO/IEC 15948; JPEG: ISO/IEC 10918-1; WebP: RFC 9649).
_STARTS = {"png": b"\x89PNG\r\n\x1a\n", "jpg": b"\xff\xd8\xff"}
_TYPES = {"png": "image/png", "jpg": "image/jpeg", "jpeg": "image/jpeg", "webp": "image/webp"}


class NoSuchFileError(LookupError):
    """A picture was asked for that is not there, or not in the project's folder."""

    def __init__(self, name: str) -> None:
        super().__init__(f"There is no picture {name[:80]!r} in the project's folder.")


class NotAPictureError(ValueError):
    """Something was sent that is none of the pictures that can lie under a plan."""

    def __init__(self) -> None:
        super().__init__("This is no picture that can lie under the plan; PNG, JPEG and WebP can.")


def picture(folder: Path, name: str) -> tuple[bytes, str]:
    """Return a picture's bytes and media type.

    Raises
    ------
    NoSuchFileError
        If it is not a picture in the folder itself, also where a link leads out of it.
    """
    kind = _TYPES.get(name.rpartition(".")[2].lower(), "")
    file = folder / name
    if (
        not kind
        or not _NAME.fullmatch(name)
        or file.resolve().parent != folder.resolve()
        or not file.is_file()
    ):
        raise NoSuchFileError(name)
    return file.read_bytes(), kind


def picture_name(content: bytes) -> str:
    """Return the name under which a picture is kept.

    Raises
    ------
    NotAPictureError
        If its first bytes are of no known sort.
    """
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "underlay.webp"
    for kind, start in _STARTS.items():
        if content.startswith(start):
            return f"underlay.{kind}"
    raise NotAPictureError
