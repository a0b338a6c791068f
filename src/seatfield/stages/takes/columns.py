"""Columns of a sound file: which loudspeaker each one stands for, in the order of the extensible WAV header."""

from dataclasses import dataclass

POSITIONS: tuple[tuple[int, str, tuple[str, ...]], ...] = (
    (0x1, "front left", ("M+030",)),
    (0x2, "front right", ("M-030",)),
    (0x4, "front centre", ("M+000",)),
    (0x8, "low frequency", ("LFE1",)),
    (0x10, "back left", ("M+135",)),
    (0x20, "back right", ("M-135",)),
    (0x40, "front left of centre", ("M+SC",)),
    (0x80, "front right of centre", ("M-SC",)),
    (0x100, "back centre", ("M+180",)),
    (0x200, "side left", ("M+090", "M+110")),
    (0x400, "side right", ("M-090", "M-110")),
    (0x800, "top centre", ("T+000",)),
    (0x1000, "top front left", ("U+030", "U+045")),
    (0x2000, "top front centre", ("U+000",)),
    (0x4000, "top front right", ("U-030", "U-045")),
    (0x8000, "top back left", ("U+135", "U+110")),
    (0x10000, "top back centre", ("U+180",)),
    (0x20000, "top back right", ("U-135", "U-110")),
)
"""Bit, name and BS.2051 labels of each position, lowest bit first: dwChannelMask of WAVEFORMATEXTENSIBLE (bits seen in
an open header file; which label stands for which position is common practice, no source)."""

LPCM = frozenset({0x1, 0x2, 0x4, 0x8, 0x10, 0x20, 0x200, 0x400})
"""Positions that a receiver takes as linear PCM of up to eight channels (CTA-861, audio InfoFrame, from memory)."""

STEREO, SIX, EIGHT = 0x3, 0x60F, 0x63F
LOOPBACK = "loopback"


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of one file.

    Parameters
    ----------
    labels
        Channel labels in the file's order; a column that no channel of the layout uses has its position's name.
    mask
        The header's channel mask.
    """

    labels: tuple[str, ...]
    mask: int


def bit_of(label: str) -> int | None:
    """Return the bit of the mask that stands for a channel, or None where there is none."""
    return next((bit for bit, _, labels in POSITIONS if label in labels), None)


def lpcm_reaches(label: str) -> bool:
    """Whether linear PCM of up to eight channels has a column for this channel."""
    return bit_of(label) in LPCM


def columns_for(labels: tuple[str, ...]) -> Columns:
    """Return the smallest usual set of columns that holds these channels.

    Parameters
    ----------
    labels
        Channels of the layout, those that no column stands for included.

    Returns
    -------
    Columns
        Two, six or eight.
    """
    wanted = {bit for label in labels if (bit := bit_of(label)) in LPCM}
    needed = sum(wanted, 0)
    mask = next(mask for mask in (STEREO, SIX, EIGHT) if needed & ~mask == 0)
    return Columns(
        tuple(_label(names, name, labels) for bit, name, names in POSITIONS if bit & mask),
        mask,
    )


def _label(names: tuple[str, ...], position: str, labels: tuple[str, ...]) -> str:
    return next((label for label in names if label in labels), position)


def position_name(label: str) -> str:
    """Return the header's name for a column."""
    return next((name for _, name, labels in POSITIONS if label in (name, *labels)), label)
