"""Damaged project files: whatever happens to a file, it is a project or a list of faults with lines."""

import math
import random
from dataclasses import fields, is_dataclass
from pathlib import Path

from seatfield.store import open_folder, open_text

CONTRACT = (Path(__file__).parent / "files" / "contract.toml").read_bytes()
SEED = 20_240_601
FILES = 500

ODD_VALUES = (
    "nan", "inf", "-inf", "1e300", "-1e300", "1e-320", "0", "-1", "0.0", "-0.0", "9" * 400, "true", '""', '"x"', "[]",
    "{}", "[[]]", "[{}]", '"5.10 ft"', '"0 m"', "1979-05-27", "07:32:00", "[[1, 2, 3], [4]]", "{ a = 1 }", "10000",
    '"' + "a" * 500 + '"', '"\\u0000"', '"\\uFFFF"', "0x7fffffffffffffff", "[nan, nan]", "[[0,0],[0,0],[0,0]]",
)  # fmt: skip


def drop_lines(lines, chance):
    for _ in range(chance.randint(1, 4)):
        del lines[chance.randrange(len(lines))]


def change_values(lines, chance):
    """Put an odd value after some key."""
    for _ in range(chance.randint(1, 4)):
        number = chance.choice([n for n, line in enumerate(lines) if "=" in line.split("#")[0]])
        lines[number] = f"{lines[number].split('=')[0]}= {chance.choice(ODD_VALUES)}"


def change_numbers(lines, chance):
    """Replace a number inside a line, lists included."""
    for _ in range(chance.randint(1, 4)):
        number = chance.choice([n for n, line in enumerate(lines) if any(sign.isdigit() for sign in line)])
        at = chance.choice([n for n, sign in enumerate(lines[number]) if sign.isdigit()])
        lines[number] = lines[number][:at] + chance.choice(ODD_VALUES) + lines[number][at + 1 :]


def shuffle_lines(lines, chance):
    first, second = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[first], lines[second] = lines[second], lines[first]


def repeat_lines(lines, chance):
    start = chance.randrange(len(lines))
    lines[start:start] = lines[start : start + chance.randint(1, 8)]


def damaged(chance):
    """Return the example's bytes with one kind of damage, and often a second one to its bytes."""
    lines = CONTRACT.decode().split("\n")
    chance.choice((drop_lines, change_values, change_numbers, shuffle_lines, repeat_lines))(lines, chance)
    content = bytearray("\n".join(lines).encode())
    if chance.random() < 0.3:
        for _ in range(chance.randint(1, 5)):
            content[chance.randrange(len(content))] = chance.randrange(256)
    if chance.random() < 0.1:
        del content[chance.randrange(len(content)) :]
    return bytes(content)


def numbers_in(value):
    """Yield every number in a project, however deep."""
    if is_dataclass(value):
        value = [getattr(value, field.name) for field in fields(value)]
    if isinstance(value, list | tuple):
        for item in value:
            yield from numbers_in(item)
    elif isinstance(value, float | int):
        yield value


def test_500_damaged_files_are_projects_or_faults_with_a_line(tmp_path):
    """Keys dropped, types changed, numbers absurd, bytes flipped: never another exception, never an absurd number."""
    chance = random.Random(SEED)
    file = tmp_path / "project.toml"
    projects = 0
    for _ in range(FILES):
        file.write_bytes(damaged(chance))
        opened = open_folder(file)
        lines = opened.path.read_bytes().count(b"\n") + 1
        if opened.project is None:
            assert opened.faults
        else:
            projects += 1
            assert not opened.faults
            assert all(math.isfinite(number) and abs(number) <= 1e7 for number in numbers_in(opened.project))
        for fault in opened.faults:
            assert 1 <= fault.line <= lines
            assert fault.found
            assert fault.wanted
            assert str(fault)
    assert 20 < projects < FILES - 200  # both outcomes are met, so that neither is vacuous


def test_every_odd_value_at_every_key_is_a_project_or_a_fault():
    """Each line's value in turn becomes each odd value."""
    lines = CONTRACT.decode().split("\n")
    chance = random.Random(SEED)
    for number, line in enumerate(lines):
        if "=" not in line.split("#")[0]:
            continue
        for value in chance.sample(ODD_VALUES, 6):
            changed = [*lines[:number], f"{line.split('=')[0]}= {value}", *lines[number + 1 :]]
            opened = open_text("\n".join(changed))
            assert (opened.project is None) == bool(opened.faults)
            assert all(fault.line >= 1 for fault in opened.faults)
