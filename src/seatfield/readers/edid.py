"""EDID: what a display, receiver or sound box reports about itself over its HDMI or DisplayPort socket."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from seatfield.readers.descriptor import RATES_KHZ, format_name, read_descriptor, speakers
from seatfield.readers.sink import LPCM_CODE, Latency, Sink, SinkFormat, contradictions

HEADER = bytes([0, 255, 255, 255, 255, 255, 255, 0])
BLOCK = 128
CTA_BLOCK, DISPLAYID_BLOCK, MAP_BLOCK = 0x02, 0x70, 0xF0
AUDIO, VENDOR, SPEAKER, EXTENDED = 1, 3, 4, 7
HDMI_AUDIO, ROOM, COUNT_OVERRIDE, FORUM_DATA = 18, 19, 0x78, 0x79
HDMI_OUI, FORUM_OUI = b"\x03\x0c\x00", b"\xd8\x5d\xc4"  # least significant byte first
DISPLAYID_CTA = 0x81
BASIC_AUDIO = SinkFormat(format_name(LPCM_CODE), LPCM_CODE, None, 2, RATES_KHZ[:3], (16,))


@dataclass(slots=True)
class _Reading:
    """What has been read so far."""

    formats: list[SinkFormat] = field(default_factory=list)
    speaker_mask: int = 0
    room_mask: int = 0
    basic_audio: bool = False
    latency: Latency | None = None
    physical_address: str | None = None
    hdmi_forum: bool = False
    count_override: int | None = None
    warnings: list[str] = field(default_factory=list)

    def warn(self, sentence: str) -> None:
        if sentence not in self.warnings:
            self.warnings.append(sentence)


def read_edid(data: bytes) -> Sink:
    """Read the sound abilities out of an EDID.

    Parameters
    ----------
    data
        The bytes, base block first.

    Returns
    -------
    Sink
        What is sound, with a warning for all that is not. No bytes raise an exception.

    Notes
    -----
    Every block that is present is read, also past the declared count, but an exactly repeated half is dropped.
    A block with a wrong checksum is told and still read. A data block that runs over the declared end of the
    data blocks is cut there. Latency byte v means 2(v − 1) ms; 0 is unknown and 255 unsupported.

    References
    ----------
    VESA E-EDID 1.4; CTA-861; HDMI 1.4 vendor block; HDMI 2.1 extension count override; VESA DisplayID 1.3 and 2.0.
    """
    reading = _Reading()
    data = _without_repeat(data, reading)
    blocks = _blocks(data, reading)
    for number, block in enumerate(blocks[1:], start=1):
        _read_extension(block, number, reading)
    if blocks:
        _check_count(blocks, reading)
    return _result(reading)


def _without_repeat(data: bytes, reading: _Reading) -> bytes:
    half = len(data) // 2
    if half >= BLOCK and half % BLOCK == 0 and data[:half] == data[half:] and data.startswith(HEADER):
        reading.warn("The file holds the same description twice; the second copy is left out.")
        return data[:half]
    return data


def _blocks(data: bytes, reading: _Reading) -> list[bytes]:
    if not data:
        reading.warn("The file is empty.")
        return []
    if not data.startswith(HEADER):
        reading.warn(
            "The file does not begin with the fixed header of an EDID, so its base block may be damaged."
        )
    if len(data) % BLOCK:
        reading.warn(
            f"The file holds {len(data)} bytes, which is not a multiple of {BLOCK}: its last block is cut short."
        )
    blocks = [data[start : start + BLOCK] for start in range(0, len(data), BLOCK)]
    for number, block in enumerate(blocks):
        if len(block) == BLOCK and sum(block) % 256 and _carries_meaning(block, number):
            reading.warn(f"Block {number} has a wrong checksum; it is read all the same.")
    return blocks


def _carries_meaning(block: bytes, number: int) -> bool:
    return number == 0 or block[0] in {CTA_BLOCK, DISPLAYID_BLOCK, MAP_BLOCK}


def _check_count(blocks: list[bytes], reading: _Reading) -> None:
    declared = blocks[0][126] if len(blocks[0]) == BLOCK else 0
    if reading.count_override is not None:
        declared = reading.count_override
    present = len(blocks) - 1
    if present < declared:
        reading.warn(f"{declared} extension blocks are declared but {present} are there; those are read.")
    if present > declared and any(_carries_meaning(block, 1) for block in blocks[declared + 1 :]):
        reading.warn(f"{declared} extension blocks are declared but {present} are there; all are read.")


def _read_extension(block: bytes, number: int, reading: _Reading) -> None:
    if block[0] == CTA_BLOCK:
        _read_cta(block, number, reading)
    elif block[0] == DISPLAYID_BLOCK:
        _read_displayid(block, number, reading)


def _read_cta(block: bytes, number: int, reading: _Reading) -> None:
    if len(block) < 4:
        reading.warn(f"Block {number} ends within its header.")
        return
    revision, end = block[1], block[2]
    if revision >= 2 and block[3] & 0x40:
        reading.basic_audio = True
    if revision < 3:
        reading.warn(f"Block {number} is of CTA revision {revision}, which has no data blocks.")
        return
    if end > BLOCK - 1:
        reading.warn(f"Block {number} puts the end of its data blocks at byte {end}, past its own end.")
        end = BLOCK - 1
    elif 0 < end < 4:
        reading.warn(f"Block {number} puts the end of its data blocks at byte {end}, inside its header.")
    _read_collection(block[4:end], f"block {number}", reading)


def _read_displayid(block: bytes, number: int, reading: _Reading) -> None:
    if len(block) < 5:
        reading.warn(f"Block {number} ends within its header.")
        return
    length = block[2]
    if length > BLOCK - 7:
        reading.warn(
            f"The DisplayID section of block {number} claims {length} bytes, more than a block holds."
        )
        length = BLOCK - 7
    elif len(block) > 5 + length and sum(block[1 : 6 + length]) % 256:
        reading.warn(
            f"The DisplayID section of block {number} has a wrong checksum; it is read all the same."
        )
    for body in _wrapped_cta(block[5 : 5 + length], number, reading):
        _read_collection(body, f"the DisplayID section of block {number}", reading)


def _wrapped_cta(section: bytes, number: int, reading: _Reading) -> Iterator[bytes]:
    start = 0
    while start + 3 <= len(section):
        tag, length = section[start], section[start + 2]
        if tag == 0 and length == 0:
            return
        body = section[start + 3 : start + 3 + length]
        if len(body) < length:
            reading.warn(
                f"A data block of the DisplayID section of block {number} runs over the section's end."
            )
        if tag == DISPLAYID_CTA:
            yield body
        start += 3 + length


def _read_collection(area: bytes, where: str, reading: _Reading) -> None:
    start = 0
    while start < len(area):
        tag, length = area[start] >> 5, area[start] & 31
        body = area[start + 1 : start + 1 + length]
        if len(body) < length:
            reading.warn(
                f"A data block of {where} claims {length} bytes where {len(body)} are left; it is cut at the boundary."
            )
        _read_data_block(tag, body, where, reading)
        start += 1 + length


def _read_data_block(tag: int, body: bytes, where: str, reading: _Reading) -> None:
    if tag == AUDIO:
        _read_audio(body, where, reading)
    elif tag == SPEAKER:
        reading.speaker_mask |= _mask(body, where, reading)
    elif tag == VENDOR and body.startswith(HDMI_OUI):
        _read_hdmi(body, reading)
    elif tag == VENDOR and body.startswith(FORUM_OUI):
        reading.hdmi_forum = True
    elif tag == EXTENDED and body:
        _read_extended(body[0], body[1:], where, reading)


def _read_extended(tag: int, body: bytes, where: str, reading: _Reading) -> None:
    if tag == ROOM:
        reading.room_mask |= _mask(body[1:], where, reading)
    elif tag == FORUM_DATA:
        reading.hdmi_forum = True
    elif tag == HDMI_AUDIO:
        reading.warn(
            f"An HDMI audio block of {where} (LPCM for more than eight loudspeakers) is not evaluated."
        )
    elif tag == COUNT_OVERRIDE and body:
        if 1 <= body[0] <= 3:
            reading.count_override = body[0]
        else:
            reading.warn(f"The extension count override says {body[0]}; only 1 to 3 are honoured.")


def _read_audio(body: bytes, where: str, reading: _Reading) -> None:
    if not body:
        reading.warn(f"An audio block of {where} is empty.")
    if len(body) % 3:
        reading.warn(
            f"An audio block of {where} holds {len(body)} bytes, not a multiple of three; the rest is skipped."
        )
    for start in range(0, len(body) - 2, 3):
        found = read_descriptor(body[start : start + 3])
        if found is None:
            reading.warn(f"An audio block of {where} uses the reserved format code 0; it is skipped.")
        else:
            reading.formats.append(found)


def _mask(body: bytes, where: str, reading: _Reading) -> int:
    if len(body) < 3:
        reading.warn(f"A loudspeaker block of {where} holds {len(body)} bytes instead of three.")
    return int.from_bytes(body[:3], "little")


def _read_hdmi(body: bytes, reading: _Reading) -> None:
    if len(body) >= 5:
        digits = (body[3] >> 4, body[3] & 15, body[4] >> 4, body[4] & 15)
        reading.physical_address = ".".join(map(str, digits))
    flags = body[7] if len(body) > 7 else 0
    if not flags & 0xC0:
        return
    if not flags & 0x80:
        reading.warn(
            "The HDMI block states an interlaced latency without a progressive one, which HDMI forbids."
        )
        return
    wanted = 4 if flags & 0x40 else 2
    delays = [_latency_s(value, reading) for value in body[8 : 8 + wanted]]
    if len(delays) < wanted:
        reading.warn("The HDMI block ends before the latencies that it announces.")
        delays += [None] * (wanted - len(delays))
    reading.latency = Latency(*delays)


def _latency_s(value: int, reading: _Reading) -> float | None:
    if value == 255:
        reading.warn("The HDMI block says that sound or picture is not supported where it states a latency.")
    elif value > 251:
        reading.warn(f"The HDMI block holds the reserved latency {value}.")
    return (value - 1) * 2 / 1000 if 1 <= value <= 251 else None


def _result(reading: _Reading) -> Sink:
    labels = speakers(reading.speaker_mask or reading.room_mask)
    formats = tuple(reading.formats)
    lpcm = [found.channels or 0 for found in formats if found.code == LPCM_CODE]
    assumed = (BASIC_AUDIO,) if reading.basic_audio and not lpcm else ()
    for sentence in contradictions(formats, labels, assumed=bool(assumed)):
        reading.warn(sentence)
    return Sink(
        kind="edid",
        formats=formats,
        speakers=labels,
        assumed_formats=assumed,
        assumed_speakers=("FL/FR",) if (formats or assumed) and not labels else (),
        latency=reading.latency,
        sync_delay_s=_sync_delay_s(reading.latency),
        physical_address=reading.physical_address,
        hdmi_forum=reading.hdmi_forum,
        warnings=tuple(reading.warnings),
    )


def _sync_delay_s(latency: Latency | None) -> float | None:
    if latency is None or latency.video_s is None or latency.audio_s is None:
        return None
    return round(latency.video_s - latency.audio_s, 6)
