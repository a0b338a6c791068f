"""ELD: what a sound sink reports, as the Linux kernel prints it in text."""

import re
from dataclasses import replace

from seatfield.readers.descriptor import SIZES_BITS, format_name, pick, speakers
from seatfield.readers.sink import EXTENDED_CODE, LPCM_CODE, Sink, SinkFormat, contradictions

# Bits of the kernel's sampling rate mask, from bit 0.
KERNEL_RATES_KHZ = (5.512, 8.0, 11.025, 16.0, 22.05, 32.0, 44.1, 48.0, 64.0, 88.2, 96.0, 176.4, 192.0)
SIZE_SHIFT = 17  # bit 17 of the kernel's size mask stands for 16 bits

_MASK = re.compile(r"^\[?\s*0x([0-9a-f]{1,8})\b\]?\s*(.*)$", re.IGNORECASE | re.ASCII)
_KEY = re.compile(r"^sad(\d{1,3})_(\w+)$", re.ASCII)
_NUMBERS = re.compile(r"\b\d{2,6}\b", re.ASCII)


def read_eld(text: str) -> Sink:
    """Read the sound abilities out of the kernel's ELD text.

    Parameters
    ----------
    text
        The text of one ELD entry.

    Returns
    -------
    Sink
        What is sound, with a warning for all that is not. No text raises an exception.

    Notes
    -----
    Where the printed rates or sizes contradict their mask, the mask wins: older kernels print the wrong words.
    ELD does not carry the third byte of E-AC-3, MLP and others, so whether they accept objects is unknown.
    The delay is in steps of 2 ms; 0 means none or unknown.

    References
    ----------
    High Definition Audio specification, ELD memory structure (from memory: the unit of the delay); CTA-861.
    """
    warnings: list[str] = []
    entry = _entry(text, warnings)
    numbers = sorted({int(match[1]) for match in map(_KEY.match, entry) if match})
    described = [_descriptor(number, entry, warnings) for number in numbers]
    formats = tuple(found for found in described if found is not None)
    _check(entry, formats, warnings)
    labels = speakers(_mask(entry.get("speakers", ""))[0] or 0)
    warnings += contradictions(formats, labels, assumed=False)
    steps = _integer(entry.get("audio_sync_delay", "0")) or 0
    return Sink(
        kind="eld",
        formats=formats,
        speakers=labels,
        assumed_speakers=("FL/FR",) if formats and not labels else (),
        sync_delay_s=steps * 2 / 1000 if 0 < steps <= 250 else None,
        warnings=tuple(dict.fromkeys(warnings)),
    )


def _entry(text: str, warnings: list[str]) -> dict[str, str]:
    entry: dict[str, str] = {}
    for line in text.splitlines():
        words = line.split(None, 1)
        if len(words) < 2:
            continue
        key, value = words[0].lower(), words[1].rstrip()
        if key in entry:
            warnings.append("The text holds more than one entry; only the first is read.")
            return entry
        entry[key] = value
    return entry


def _check(entry: dict[str, str], formats: tuple[SinkFormat, ...], warnings: list[str]) -> None:
    for key, sentence in (
        ("monitor_present", "The text says that nothing is plugged in at this socket."),
        ("eld_valid", "The text says that its description is not valid."),
    ):
        if entry.get(key) == "0":
            warnings.append(sentence)
    count = _integer(entry.get("sad_count", ""))
    if count is not None and count != len(formats):
        warnings.append(f"The text announces {count} formats but describes {len(formats)}.")


def _descriptor(number: int, entry: dict[str, str], warnings: list[str]) -> SinkFormat | None:
    def value(key: str) -> str:
        return entry.get(f"sad{number}_{key}", "")

    coding = _mask(value("coding_type"))[0]
    if not coding or coding > EXTENDED_CODE + 2:
        warnings.append(f"Format {number} of the text has no coding type that CTA-861 knows; it is skipped.")
        return None
    code, extended = (EXTENDED_CODE, coding - 14) if coding >= EXTENDED_CODE else (coding, None)
    rates = _rates(number, value("rates"), warnings)
    channels = _integer(value("channels"))
    if channels is None or not 1 <= channels <= 32:
        warnings.append(f"Format {number} of the text has no usable channel count.")
        channels = None
    found = SinkFormat(
        format=format_name(code, extended),
        code=code,
        extended_code=extended,
        channels=channels,
        rates_khz=rates,
        objects=None if code in {10, 11, 12} else False,
    )
    if code == LPCM_CODE:
        return replace(found, bits=_sizes(number, value("bits"), warnings))
    rate_bps = _integer(value("max_bitrate"))
    return replace(found, max_kbps=rate_bps // 1000) if rate_bps is not None and code <= 8 else found


def _rates(number: int, value: str, warnings: list[str]) -> tuple[float, ...]:
    mask, words = _mask(value)
    printed = tuple(sorted(int(word) / 1000 for word in _NUMBERS.findall(words)))
    if mask is None:
        warnings.append(f"Format {number} of the text has no mask of rates; the printed ones are taken.")
        return printed
    rates = pick(KERNEL_RATES_KHZ, mask)
    if printed and printed != rates:
        told = ", ".join(f"{rate:g}" for rate in rates)
        warnings.append(
            f"The printed rates of format {number} contradict their mask; the mask ({told} kHz) wins."
        )
    return rates


def _sizes(number: int, value: str, warnings: list[str]) -> tuple[int, ...]:
    mask, words = _mask(value)
    printed = tuple(sorted(int(word) for word in _NUMBERS.findall(words)))
    if mask is None:
        return printed
    sizes = pick(SIZES_BITS, mask >> SIZE_SHIFT)
    if printed and printed != sizes:
        told = ", ".join(map(str, sizes))
        warnings.append(
            f"The printed sizes of format {number} contradict their mask; the mask ({told} bit) wins."
        )
    return sizes


def _mask(value: str) -> tuple[int | None, str]:
    match = _MASK.match(value)
    return (int(match[1], 16), match[2]) if match else (None, value)


def _integer(value: str) -> int | None:
    return int(value) if re.fullmatch(r"[0-9]{1,9}", value) else None
