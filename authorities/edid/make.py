"""Make displays.json: real display descriptions with makers' marks blanked, and what Debian's decoder prints of them.

Usage: python authorities/edid/make.py FOLDER   (binary EDID files of the linuxhw/EDID collection; needs edid-decode)

The decoder's own words for the formats are learnt by decoding a probe that holds each CTA-861 code once, in order,
so the table holds code numbers and no words of its own.
"""

import json
import pathlib
import re
import subprocess
import sys

BLOCK = 128
HDMI_OUIS = (b"\x03\x0c\x00", b"\xd8\x5d\xc4")
HERE = pathlib.Path(__file__).parent


def decode(blob):
    """Return the lines that the decoder prints of a description."""
    run = subprocess.run(["edid-decode", "-s"], input=blob, capture_output=True, check=False)
    return run.stdout.decode(errors="replace").splitlines()


def sealed(block):
    """Set the last byte of a block so that the sum is 0."""
    return bytes(block[:-1]) + bytes([-sum(block[:-1]) % 256])


def probe(descriptors):
    """Build a description that holds the given audio descriptors."""
    base = bytearray(BLOCK)
    base[:8], base[18:21], base[126] = bytes([0, *[255] * 6, 0]), bytes([1, 4, 0xA5]), 1
    extension = bytearray(BLOCK)
    extension[:4] = bytes([2, 3, 0, 0x40])
    body = b"".join(
        bytes([1 << 5 | 3 * len(part)]) + b"".join(part)
        for part in (descriptors[k : k + 10] for k in range(0, len(descriptors), 10))
    )
    extension[4 : 4 + len(body)] = body
    extension[2] = 4 + len(body)
    return sealed(base) + sealed(extension)


def headings(lines):
    """Return the headings inside audio blocks, in order."""
    found, inside = [], False
    for line in lines:
        if re.match(r"  \S", line):
            inside = line.strip() == "Audio Data Block:"
        elif inside and re.match(r"    \S.*:$", line):
            found.append(line.strip())
    return found


def learn():
    """Map the decoder's headings to (code, extended code)."""
    codes = [(code, None) for code in range(1, 15)]
    extended = [(15, code) for code in range(32)]
    words = headings(decode(probe([bytes([code << 3, 4, 0]) for code, _ in codes])))
    more = [
        headings(decode(probe([bytes([0x78, 4, code << 3]) for _, code in extended[k : k + 16]])))
        for k in (0, 16)
    ]
    words += more[0] + more[1]
    assert len(words) == 46, "the decoder printed other headings than expected"
    return dict(zip(words, codes + extended, strict=True))


def printed(blob, words):
    """Return formats and loudspeakers as the decoder prints them."""
    formats, speakers, section = [], set(), ""
    for line in decode(blob):
        text = line.strip()
        if re.match(r"  \S", line):
            section = text
        elif section == "Speaker Allocation Data Block:" and " - " in text:
            speakers.add(text.split(" - ")[0])
        elif section == "Audio Data Block:" and text in words:
            code, extended = words[text]
            formats.append({"code": code, "extended_code": extended, "channels": None, "rates_khz": []})
            formats[-1] |= {"bits": [], "max_kbps": None, "objects": False, "level": None}
        elif section == "Audio Data Block:" and formats:
            formats[-1] |= detail(text)
    return {"formats": formats, "speakers": sorted(speakers)}


def detail(text):
    """Return what one line below a format's heading says."""
    numbers = re.findall(r"\d+(?:\.\d+)?", text.partition(":")[2])
    if text.startswith("Max channels"):
        return {"channels": int(numbers[0])}
    if text.startswith("Supported sample"):
        return (
            {"rates_khz": sorted(map(float, numbers))}
            if "rates" in text
            else {"bits": sorted(map(int, numbers))}
        )
    if text.startswith("Maximum bit rate"):
        return {"max_kbps": int(numbers[0])}
    if text == "Supports Joint Object Coding" or re.match(r"Supports .*object audio PCM", text):
        return {"objects": True}
    if re.search(r"Level: Level \d", text):
        return {"level": int(text[-1])}
    return {}


def blanked(blob):
    """Remove what names a maker, a product or a unit, and keep the sum of each block modulo 256."""
    blocks = [bytearray(blob[start : start + BLOCK]) for start in range(0, len(blob), BLOCK)]
    for number, block in enumerate(blocks):
        total = sum(block) % 256
        if number == 0:
            blank_base(block)
        elif block[0] == 2:
            blank_cta(block)
        elif block[0] == 0x70:
            blank_displayid(block)
        elif block[0] != 0xF0:
            block[1:] = bytes(len(block) - 1)
        block[-1] = (block[-1] + total - sum(block)) % 256
    return b"".join(blocks)


def blank_base(block):
    """Zero maker, product, serial number and date, and empty the four descriptors."""
    block[8:18] = bytes(10)
    for start in range(54, 126, 18):
        block[start : start + 18] = bytes([0, 0, 0, 0x10]) + bytes(14)


def blank_cta(block):
    """Zero private vendor blocks and all timing descriptors."""
    end = block[2] if 4 <= block[2] <= 127 else 127
    start = 4
    while block[1] >= 3 and start < end:
        tag, length = block[start] >> 5, block[start] & 31
        body = slice(start + 1, min(start + 1 + length, end))
        private = tag == 3 and bytes(block[body][:3]) not in HDMI_OUIS
        if private or (tag == 7 and block[start + 1] in {1, 17}):
            keep = 1 if tag == 7 else 0
            block[start + 1 + keep : body.stop] = bytes(max(0, body.stop - start - 1 - keep))
        start += 1 + length
    if block[1] >= 3:
        block[end:127] = bytes(127 - end)
    else:
        block[4:127] = bytes(123)


def blank_displayid(block):
    """Zero all data blocks but those that wrap CTA-861."""
    section = min(block[2], 121)
    inner = sum(block[1 : 6 + section]) % 256
    start = 5
    while start + 3 <= 5 + section and (block[start] or block[start + 2]):
        length = block[start + 2]
        if block[start] != 0x81:
            block[start + 3 : start + 3 + length] = bytes(min(length, 127 - start - 3))
        start += 3 + length
    block[5 + section] = (block[5 + section] + inner - sum(block[1 : 6 + section])) % 256


def well_formed(blob):
    """Tell whether checksums are right, data blocks end inside their bounds and audio blocks are whole."""
    blocks = [blob[start : start + BLOCK] for start in range(0, len(blob), BLOCK)]
    if len(blob) % BLOCK or any(sum(block) % 256 for block in blocks):
        return False
    areas = [
        (block[4 : block[2]], block[2] <= 127) for block in blocks[1:] if block[0] == 2 and block[1] >= 3
    ]
    return all(inside and whole(area) for area, inside in areas)


def whole(area):
    """Tell whether the data blocks of an area fill it and its audio blocks hold whole descriptors."""
    start = 0
    while start < len(area):
        tag, length = area[start] >> 5, area[start] & 31
        if tag == 1 and (length % 3 or not length):
            return False
        start += 1 + length
    return start == len(area)


def features(blob, found):
    """List what makes a description worth keeping as a case."""
    kinds = {("blocks", len(blob) // BLOCK, blob[126])}
    kinds |= {("speakers", tuple(found["speakers"]))}
    kinds |= {
        (f["code"], f["extended_code"], f["channels"], f["objects"], f["level"]) for f in found["formats"]
    }
    for start in range(BLOCK, len(blob), BLOCK):
        block = blob[start : start + BLOCK]
        kinds.add(("block", block[0], block[1], sum(block) % 256 == 0))
        kinds |= {("latency", pair) for pair in re.findall(rb"\x03\x0c\x00...\x80?.", block[:8])}
    return kinds


def main():
    """Write displays.json."""
    words = learn()
    cases, seen = [], set()
    for path in sorted(pathlib.Path(sys.argv[1]).glob("*.bin")):
        blob = path.read_bytes()
        clean = blanked(blob)
        found, sound = printed(clean, words), well_formed(blob)
        assert not sound or found == printed(blob, words), f"{path.name}: blanking changed what is printed"
        texts = re.findall(rb"[A-Za-z]{4,}", clean)
        new = features(blob, found) - seen
        if texts or not new:
            continue
        seen |= new
        cases.append({"name": path.stem, "well_formed": sound, "hex": clean.hex(), "printed": found})
    lines = ",\n".join(json.dumps(case) for case in cases)
    (HERE / "displays.json").write_text(f"[\n{lines}\n]\n")
    print(f"{len(cases)} cases")


if __name__ == "__main__":
    main()
