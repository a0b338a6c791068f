"""Short audio descriptors and loudspeaker masks of CTA-861."""

from typing import TypeVar

from seatfield.readers.sink import EXTENDED_CODE, LPCM_CODE, SinkFormat

_Item = TypeVar("_Item")

RATES_KHZ = (32.0, 44.1, 48.0, 88.2, 96.0, 176.4, 192.0)
SIZES_BITS = (16, 20, 24)

# CTA-861, audio format codes; the names are those of the open standard, or the bare code where there is none.
NAMES = {
    1: "LPCM",
    2: "AC-3",
    3: "MPEG-1 layer I/II",
    4: "MPEG-1 layer III",
    5: "MPEG-2 multichannel",
    6: "AAC LC",
    7: "DTS",
    9: "one-bit audio",
    10: "E-AC-3",
    11: "DTS extensions",
    12: "MLP",
    13: "DST",
}
EXTENDED_NAMES = {
    1: "HE-AAC (obsolete code)",
    2: "HE-AAC v2 (obsolete code)",
    3: "MPEG Surround (obsolete code)",
    4: "HE-AAC",
    5: "HE-AAC v2",
    6: "AAC LC",
    7: "DRA",
    8: "HE-AAC with MPEG Surround",
    10: "AAC LC with MPEG Surround",
    11: "MPEG-H 3D Audio",
    12: "AC-4",
    13: "LPCM 3D",
    15: "USAC",
}
LPCM_3D, MPEG_H, AC_4 = 13, 11, 12

# CTA-861-G, speaker allocation, bit 0 first. Older editions call bit 3 the surround pair (LS/RS or RL/RR);
# the current one calls it BL/BR and marks bit 6 as deprecated: the edition cannot be told from the file.
SPEAKERS = (
    "FL/FR",
    "LFE1",
    "FC",
    "BL/BR",
    "BC",
    "FLc/FRc",
    "RLC/RRC",
    "FLw/FRw",
    "TpFL/TpFR",
    "TpC",
    "TpFC",
    "LS/RS",
    "LFE2",
    "TpBC",
    "SiL/SiR",
    "TpSiL/TpSiR",
    "TpBL/TpBR",
    "BtFC",
    "BtFL/BtFR",
    "TpLS/TpRS",
    "LSd/RSd",
)


def format_name(code: int, extended_code: int | None = None) -> str:
    """Name an audio format by its code.

    Parameters
    ----------
    code
        Audio format code of CTA-861.
    extended_code
        Audio coding extension type, for code 15.

    Returns
    -------
    str
        The open name, or "code N" where no open standard names it.

    References
    ----------
    CTA-861, short audio descriptor, audio format codes and audio coding extension types.
    """
    if code == EXTENDED_CODE and extended_code is not None:
        return EXTENDED_NAMES.get(extended_code, f"extended code {extended_code}")
    return NAMES.get(code, f"code {code}")


def read_descriptor(triple: bytes) -> SinkFormat | None:
    """Read one short audio descriptor.

    Parameters
    ----------
    triple
        Its three bytes.

    Returns
    -------
    SinkFormat or None
        The format; None for the reserved code 0.

    Notes
    -----
    Whether E-AC-3 and MLP carry objects is bit 0 of the third byte. The DTS extensions (code 11) and AC-4 have no
    published bit for it, so `objects` is None there. MPEG-H states a level instead of a channel count. AC-4 leaves
    that field at zero, which reads as one channel and says nothing.

    References
    ----------
    CTA-861, short audio descriptor; the object bits from the interface description of the formats' owner.
    """
    first, second, third = triple
    code = first >> 3 & 15
    if code == 0:
        return None
    extended = third >> 3 if code == EXTENDED_CODE else None
    return SinkFormat(
        format=format_name(code, extended),
        code=code,
        extended_code=extended,
        channels=_channels(first, second, extended),
        rates_khz=pick(RATES_KHZ, second),
        bits=pick(SIZES_BITS, third) if code == LPCM_CODE or extended == LPCM_3D else (),
        max_kbps=third * 8 if 2 <= code <= 8 else None,
        objects=_objects(code, extended, third),
        level=first & 7 if extended == MPEG_H and 1 <= first & 7 <= 5 else None,
        detail=third,
    )


def _channels(first: int, second: int, extended: int | None) -> int | None:
    if extended == MPEG_H or (extended in {AC_4, 14} and first & 7):
        return None
    if extended == LPCM_3D:  # five bits, spread over the two bytes
        return (second >> 3 & 16 | first >> 4 & 8 | first & 7) + 1
    return (first & 7) + 1


def _objects(code: int, extended: int | None, third: int) -> bool | None:
    if code in {10, 12}:
        return bool(third & 1)
    if code == 11 or extended in {AC_4, 14}:
        return None
    return extended == MPEG_H


def pick(values: tuple[_Item, ...], mask: int) -> tuple[_Item, ...]:
    """Choose the values whose bit is set in a mask.

    Parameters
    ----------
    values
        One value per bit, bit 0 first.
    mask
        The bits.

    Returns
    -------
    tuple
        The chosen values, order kept.
    """
    return tuple(value for bit, value in enumerate(values) if mask >> bit & 1)


def speakers(mask: int) -> tuple[str, ...]:
    """Name the loudspeakers of a speaker allocation.

    Parameters
    ----------
    mask
        Its three bytes as one number, first byte lowest.

    Returns
    -------
    tuple of str
        Labels, a pair as one; bits that CTA-861 reserves are left out.

    References
    ----------
    CTA-861-G, speaker allocation data block; bit 20 by HDMI 2.1.
    """
    return pick(SPEAKERS, mask)
