"""The log: appended, hashed, never overwritten."""

import hashlib
import json
import signal
import subprocess
import sys
import time

import pytest

from seatfield.store import append_record, log_file, read_log

WHEN = "2024-06-01T10:00:00Z"


def test_records_come_back_in_order(tmp_path):
    """Each kind has a file of its own, each record follows the one before."""
    first = append_record(tmp_path, "ticks", {"run": "M+030", "done": True}, at=WHEN)
    second = append_record(tmp_path, "ticks", {"run": "M-030", "done": True}, at=WHEN)
    append_record(tmp_path, "takes", {"file": "take 1.wav"}, at=WHEN)
    log = read_log(tmp_path, "ticks")
    assert log.entries == (first, second)
    assert log.faults == ()
    assert (second.previous, second.line) == (first.hash, 2)
    assert len(read_log(tmp_path, "takes").entries) == 1
    assert read_log(tmp_path, "proofs").entries == ()


def test_the_hash_is_sha_256_of_the_rest_of_the_line(tmp_path):
    """Anybody can check it with the standard library's hashlib (FIPS 180-4) and the rule in the docs."""
    entry = append_record(tmp_path, "proofs", {"b": [1, 2.5], "a": "ü"}, at=WHEN)
    line = json.loads(log_file(tmp_path, "proofs").read_text())
    body = {key: line[key] for key in ("at", "data", "previous")}
    plain = json.dumps(body, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    assert hashlib.sha256(plain.encode()).hexdigest() == line["hash"] == entry.hash


def test_a_changed_line_is_told_and_not_used(tmp_path):
    """A record altered after the fact, and one taken away, show."""
    for number in range(4):
        append_record(tmp_path, "ticks", {"number": number}, at=WHEN)
    file = log_file(tmp_path, "ticks")
    lines = file.read_text().splitlines(keepends=True)
    file.write_text("".join([lines[0], lines[1].replace('"number": 1', '"number": 9'), *lines[2:]]))
    log = read_log(tmp_path, "ticks")
    assert [entry.data["number"] for entry in log.entries] == [0, 2, 3]
    assert [(fault.line, fault.found) for fault in log.faults] == [
        (2, "a record that was changed or cut off"),
        (3, "a record that does not follow the one before"),
    ]


def test_an_unfinished_line_is_told_and_the_next_record_stands(tmp_path):
    """A crash in the middle of a record costs that record alone."""
    first = append_record(tmp_path, "ticks", {"number": 0}, at=WHEN)
    file = log_file(tmp_path, "ticks")
    with file.open("a") as stream:
        stream.write('{"at": "2024')
    assert read_log(tmp_path, "ticks").faults[0].found == "an unfinished record"
    second = append_record(tmp_path, "ticks", {"number": 1}, at=WHEN)
    assert (second.previous, second.line) == (first.hash, 3)
    assert read_log(tmp_path, "ticks").entries == (first, second)


def test_what_has_no_json_is_refused(tmp_path):
    """Numbers that are not finite and odd kinds never reach the log."""
    with pytest.raises(ValueError, match="this record has no JSON"):
        append_record(tmp_path, "ticks", {"number": float("nan")}, at=WHEN)
    with pytest.raises(ValueError, match="is no kind of record"):
        append_record(tmp_path, "../ticks", {}, at=WHEN)
    with pytest.raises(ValueError, match="at most 1,000,000 are taken"):
        append_record(tmp_path, "ticks", {"text": "x" * 1_000_001}, at=WHEN)
    assert read_log(tmp_path, "ticks").entries == ()


WRITER = """
import sys
from seatfield.store.log import append_record
for number in range(10**6):
    append_record(sys.argv[1], "ticks", {"writer": sys.argv[2], "number": number, "text": "x" * 2000}, at="now")
    print(number, flush=True)
"""


def test_two_writers_and_a_kill_lose_no_finished_record(tmp_path):
    """Two processes append at once and are killed: what each had reported as written is there, in one chain."""
    command = [sys.executable, "-c", WRITER, str(tmp_path)]
    writers = [subprocess.Popen([*command, name], stdout=subprocess.PIPE, text=True) for name in "ab"]
    heads = [writer.stdout.readline() for writer in writers]
    time.sleep(0.2)
    for writer in writers:
        writer.send_signal(signal.SIGKILL)
    told = [
        len((head + writer.communicate()[0]).splitlines())
        for head, writer in zip(heads, writers, strict=True)
    ]
    log = read_log(tmp_path, "ticks")
    for name, count in zip("ab", told, strict=True):
        numbers = [entry.data["number"] for entry in log.entries if entry.data["writer"] == name]
        assert numbers == list(range(len(numbers)))
        assert len(numbers) >= count > 0
    assert all(fault.found == "an unfinished record" for fault in log.faults)
