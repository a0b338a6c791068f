"""From sweeps to aligned values on disk: takes are kept under their hash, never overwritten, and read again."""

import json
import shutil
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from seatfield.model import SweepSettings, TakeState
from seatfield.pipeline import open_project
from seatfield.pipeline.aligning import (
    align,
    encode_aligned,
    note_settings,
    noted_settings,
)
from seatfield.pipeline.encoding import encode
from seatfield.pipeline.keeping import kept_takes
from seatfield.pipeline.measuring import (
    NotMeasurableError,
    TakeAsked,
    keep_take,
    last_sweeps,
    prepared,
    read_takes,
    sweeps_for,
    write_sweeps,
)
from seatfield.pipeline.rehearsing import RehearsalAsked, planted_faults, spells, write_rehearsal
from seatfield.pipeline.retelling import read_take
from seatfield.pipeline.values import ValuesRefusedError, read_values, values_of, write_values
from seatfield.stages.alignment import Wishes
from seatfield.stages.takes import SweepParams

TEXT = """
format = 1
name = "Room over the canal"
[room]
floor = [[0,0],[5,0],[5,4],[0,4]]
ceiling = 2.5
[room.finishes]
floor = "thin carpet"
ceiling = "plasterboard on battens"
walls = "plasterboard on studs"
[[seat]]
name = "middle"
at = [2.5, 3.0]
ear = 1.1
main = true
[screen]
centre = [2.5, 0.1, 1.0]
width = 1.3
[system]
layout = "2.1"
[[amplifier]]
name = "receiver"
at = [1.0, 0.4, 0.4]
channels = 2
processed = 2
sub_outputs = 1
[[model]]
name = "box"
low_corner = 55
[[model]]
name = "sub"
kind = "subwoofer"
low_corner = 28
[[loudspeaker]]
channel = "M+030"
model = "box"
at = [3.7, 0.7, 1.0]
[[loudspeaker]]
channel = "M-030"
model = "box"
at = [1.4, 0.9, 1.0]
[[subwoofer]]
name = "sub"
model = "sub"
at = [0.4, 0.5, 0.2]
"""
QUICK = SweepParams(SweepSettings(length_s=1.0, tail_s=1.0))
THEN, LATER, LATEST = "2031-05-04T10:00:00+00:00", "2031-05-05T10:00:00+00:00", "2031-05-06T10:00:00+00:00"


@pytest.fixture(scope="module")
def practised(tmp_path_factory):
    """A folder with sweeps written, rehearsed bare, and the recordings beside it."""
    folder = tmp_path_factory.mktemp("canal")
    (folder / "project.toml").write_text(TEXT, encoding="utf-8")
    project = open_project(folder)
    planned = sweeps_for(project, QUICK)
    files = write_sweeps(folder, planned, folder / "sweeps", at=THEN)
    asked = RehearsalAsked(seed=4, params=QUICK)
    recordings = list(write_rehearsal(project, planned.sweeps, asked, (), folder / "recorded"))
    return folder, project, files, recordings


@pytest.fixture
def room(practised, tmp_path):
    """A copy of it to work on."""
    folder, project, _, recordings = practised
    shutil.copytree(folder, tmp_path / "canal")
    files = tuple((one.file.name, one.file.read_bytes()) for one in recordings)
    return tmp_path / "canal", project, TakeAsked(files, project.main_seat.head, "middle")


def test_the_sweep_files_hold_24_bits_in_the_order_of_the_sheet(practised):
    _, _, files, _ = practised
    assert files[0].name == "sheet.txt"
    assert [file.name for file in files[1:]] == [
        "00 how loud.wav",
        "01 M+030.wav",
        "02 M-030.wav",
        "03 sub.wav",
    ]
    for file in files[1:]:
        told = soundfile.info(file)
        assert (told.subtype, told.channels, told.samplerate) == ("PCM_24", 6, 48000)
    loud, _ = soundfile.read(files[1])
    assert np.max(np.abs(loud[:24000])) < 0.01 * np.max(np.abs(loud))


def test_a_take_is_kept_under_its_hash_with_place_date_and_sweeps_and_reads_the_same_again(room):
    folder, project, asked = room
    take, told = keep_take(folder, project, asked, at=LATER)
    assert (take.id, take.at, take.seat, take.position) == ("take 1", LATER, "middle", project.main_seat.head)
    for file in take.files:
        kept = folder / "log" / "takes" / f"{file.sha256}.wav"
        assert kept.read_bytes() == dict(asked.files)[file.name]
        assert not kept.stat().st_mode & 0o222
    assert kept_takes(folder) == (take,)
    again = read_takes(folder, project)
    assert again.takes == told.takes
    assert take.sweeps == last_sweeps(folder, project)


def test_nothing_is_ever_overwritten(room):
    folder, project, asked = room
    keep_take(folder, project, asked, at=LATER)
    before = {file: file.read_bytes() for file in (folder / "log").rglob("*") if file.is_file()}
    keep_take(folder, project, asked, at=LATEST)
    for file, content in before.items():
        assert file.read_bytes()[: len(content)] == content
    assert [take.id for take in kept_takes(folder)] == ["take 1", "take 2"]


def test_a_recording_that_was_changed_afterwards_is_told_and_not_used(room):
    folder, project, asked = room
    take, _ = keep_take(folder, project, asked, at=LATER)
    kept = folder / "log" / "takes" / f"{take.files[0].sha256}.wav"
    kept.chmod(0o644)
    kept.write_bytes(kept.read_bytes()[:-2] + b"\1\1")
    again = read_takes(folder, project)
    assert not again.takes[0].channels[0].used
    assert "gone from the log, or was changed" in again.takes[0].channels[0].troubles[0].message
    assert again.takes[0].channels[1].used


def test_a_take_of_nothing_but_bad_recordings_is_told_and_not_kept(room):
    folder, project, asked = room
    empty = TakeAsked(tuple((name, b"RIFF") for name, _ in asked.files), asked.position, asked.seat)
    take, told = keep_take(folder, project, empty, at=LATER)
    assert take is None
    assert kept_takes(folder) == ()
    assert not (folder / "log" / "takes").exists()
    assert len(told.findings) == 3


def test_recordings_that_do_not_match_the_sweeps_are_refused_with_what_is_wanted(room):
    folder, project, asked = room
    two = TakeAsked(asked.files[:2], asked.position)
    with pytest.raises(NotMeasurableError, match="2 recordings are given for 3 sweeps"):
        keep_take(folder, project, two, at=LATER)
    strange = TakeAsked(asked.files[:1], asked.position, runs=("M+999",))
    with pytest.raises(NotMeasurableError, match=r"M\+999 is no run of the sweeps; there are M\+030"):
        keep_take(folder, project, strange, at=LATER)


def test_a_microphone_outside_the_room_is_refused_with_the_room_s_reach(room):
    folder, project, asked = room
    with pytest.raises(NotMeasurableError, match=r"at 250\.00, 300\.00, 110\.00 m stands outside the room"):
        keep_take(folder, project, replace(asked, position=(250.0, 300.0, 110.0)), at=LATER)
    assert kept_takes(folder) == ()


def test_a_microphone_s_file_without_a_number_is_refused_and_one_with_a_bad_line_is_told(room):
    folder, project, asked = room
    with pytest.raises(NotMeasurableError, match="No line of the file holds a frequency and a level"):
        keep_take(folder, project, replace(asked, compensation=b"Dear diary, no sound"), at=LATER)
    _, told = keep_take(
        folder, project, replace(asked, compensation=b"20 0\n1000 0\n999999 3\n20000 1\n"), at=LATER
    )
    assert [one.code for one in told.findings].count("takes.compensation") == 1


def test_the_whole_way_from_a_take_to_values_that_are_typed_and_verified(room):
    folder, project, asked = room
    keep_take(folder, project, asked, at=LATER)
    aligned = align(folder, project, Wishes(filters=2))
    assert aligned.alignment is not None
    note_settings(folder, project, aligned.alignment, at=LATER)
    assert noted_settings(folder).settings == aligned.alignment.settings
    in_force = RehearsalAsked(
        seed=5, state=TakeState.AS_USED, params=QUICK, in_force=aligned.alignment.settings
    )
    sweeps = last_sweeps(folder, project)
    made = list(write_rehearsal(project, sweeps, in_force, (), folder / "after"))
    files = tuple((one.file.name, one.file.read_bytes()) for one in made)
    after = TakeAsked(files, asked.position, "middle", TakeState.AS_USED)
    keep_take(folder, project, after, at=LATEST)
    told = encode_aligned(align(folder, project, Wishes(filters=2)))
    assert json.dumps(told, allow_nan=False)
    assert {one["run"] for one in told["verified"]} == {"M+030", "M-030"}
    assert all(one["off_db"] < 0.5 for one in told["verified"])
    assert told["redo"] == []


def test_values_are_written_as_csv_json_coefficients_and_an_impulse_response_of_the_filters(room):
    folder, project, asked = room
    keep_take(folder, project, asked, at=LATER)
    alignment = align(folder, project, Wishes(filters=3)).alignment
    files = {file.name: file for file in write_values(folder / "values", alignment)}
    lines = files["values.csv"].read_text().splitlines()
    assert lines[0] == "run,channel,distance_m,delay_ms,trim_db,crossover_hz,polarity"
    assert len(lines) == 1 + len(alignment.channels)
    typed = {one.run: one for one in read_values(files["values.csv"].read_text(), project)}
    for one in alignment.channels:
        assert typed[one.run].distance_m == pytest.approx(one.distance_m, abs=5e-4)
        assert typed[one.run].trim_db == one.trim_db
    filtered = next(one for one in alignment.channels if one.filters)
    taps, rate_hz = soundfile.read(files[f"{filtered.run} 48 kHz.wav"])
    gain_db = 20 * np.log10(np.abs(np.fft.rfft(taps)))
    freq_hz = np.fft.rfftfreq(len(taps), 1 / rate_hz)
    deepest = min(filtered.filters, key=lambda one: one.gain_db)
    assert gain_db[np.argmin(np.abs(freq_hz - deepest.freq_hz))] == pytest.approx(deepest.gain_db, abs=2.5)
    assert abs(gain_db[-1]) < 0.01


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("loudspeaker,distance\nM+030,2\n", "The first line of the values must name the columns"),
        ("run,distance\nM+999,2\n", r"Line 2 \(M\+999\), run: 'M\+999' is no run; the runs are M\+030"),
        (
            "run,trim\nM+030,loud\n",
            r"Line 2 \(M\+030\), trim: 'loud' is given; a number of dB from -40 to 40",
        ),
        ("run,trim\nM+030,nan\n", "'nan' is given"),
        ("run,distance\nM+030,900\n", r"distance: '900' is given; a distance from 0 to 60 m"),
        ("run,distance\nM+030,far\n", r"distance: \"far\" is given; wanted: a length such as"),
        ("run,crossover\nM+030,8\n", "from 20 to 400 is wanted, such as 80, or the words full range"),
        ("run,trim\nM+030,1\nM+030,2\n", r"Line 3 \(M\+030\), run: It has a line already"),
        ("run,trim,crossover\nM+030,loud,low\n", r"trim: 'loud'(?s:.*)crossover: 'low'"),
    ],
)
def test_values_that_cannot_be_understood_are_refused_with_their_line(practised, text, message):
    with pytest.raises(ValuesRefusedError, match=message):
        read_values(text, practised[1])


def test_what_can_be_read_of_a_line_is_read_beside_what_cannot(practised):
    typed, refused = values_of("run,distance,trim\rM+030,2.5,loud\nM+999,1,1\nM-030,2.4,\n", practised[1])
    assert [(one.run, one.distance_m, one.trim_db) for one in typed] == [
        ("M+030", 2.5, None),
        ("M-030", 2.4, None),
    ]
    assert [(one.line, one.what) for one in refused] == [(2, "trim"), (3, "run")]


def test_a_run_s_name_never_leads_out_of_the_folder_of_its_files(room):
    folder, project, asked = room
    keep_take(folder, project, asked, at=LATER)
    alignment = align(folder, project, Wishes(filters=1)).alignment
    channels = tuple(replace(one, run=f"../../{one.run}/x") for one in alignment.channels)
    out = folder / "deep" / "values"
    written = write_values(out, replace(alignment, channels=channels))
    assert {file.resolve().parent for file in written} == {out.resolve()}
    assert any(file.suffix == ".wav" for file in written)
    assert all(file.is_file() for file in written)


def test_values_are_read_with_units_and_words(practised):
    (one,) = read_values("run,distance,trim,crossover\nM+030,9 ft 2 in,−1.5 dB,full range\n", practised[1])
    assert one.distance_m == pytest.approx(2.794, abs=0.001)
    assert (one.trim_db, one.crossover_hz) == (-1.5, 0.0)


def test_the_microphone_goes_round_the_main_seat_at_different_heights(practised):
    _, project, _, _ = practised
    places = spells(project, RehearsalAsked(positions=6))
    heights = [one.position[2] for one in places]
    assert places[0].seat == "middle"
    assert max(heights) - min(heights) > 0.4
    assert all(np.linalg.norm(np.subtract(one.position, project.main_seat.head)) < 0.7 for one in places)


def test_faults_by_chance_leave_the_named_ones_alone(practised):
    _, project, _, _ = practised
    asked = RehearsalAsked(seed=3, faults=("dead M+030",), chance_faults=2)
    faults = planted_faults(project, asked)
    assert faults[0].runs == ("M+030",)
    assert all("M+030" not in one.runs for one in faults[1:])


def test_takes_of_a_plan_that_changed_since_accuse_nobody_and_say_first_what_to_take_again(room):
    folder, project, asked = room
    keep_take(folder, project, asked, at=THEN)
    left, right = project.loudspeakers
    moved = replace(project, loudspeakers=(left, replace(right, at=(1.4, 2.4, 1.0))))
    told = align(folder, moved)
    assert told.faults.faults == ()
    assert not any("far from the plan" in question.message for question in told.faults.undecided)
    assert told.takes.findings[0].code == "takes.moved"
    assert "M-030 stands 1.50 m from its place in the plan of take 1" in told.redo[0].changed
    assert told.redo[0].redo == ("take M-030 again at middle",)
    assert align(folder, project).redo == ()


def test_a_take_of_old_that_does_not_know_its_places_is_still_read(room):
    folder, project, asked = room
    take, _ = keep_take(folder, project, asked, at=THEN)
    record = encode(take)
    assert record.pop("places")
    assert read_take(record) == replace(take, places=())
    assert read_take(encode(take)) == take


def test_recordings_are_read_by_the_sweeps_they_were_made_with_though_others_were_written_since(room):
    folder, project, asked = room
    later = SweepParams(SweepSettings(length_s=2.0, tail_s=1.0))
    write_sweeps(folder, sweeps_for(project, later), folder / "more", at=LATER)
    assert last_sweeps(folder, project).settings.length_s == 2.0
    take, told = keep_take(folder, project, asked, at=LATEST)
    assert take.sweeps.settings.length_s == 1.0
    assert all(channel.used for channel in told.takes[0].channels)
    assert kept_takes(folder)[0].sweeps == take.sweeps


def test_recordings_that_fit_no_sweeps_ever_written_are_told_with_the_lengths_tried(room):
    folder, project, asked = room
    (folder / "log" / "sweeps.jsonl").unlink()
    longer = SweepParams(SweepSettings(length_s=1.5, tail_s=1.0))
    write_sweeps(folder, sweeps_for(project, longer), folder / "more", at=LATER)
    take, told = keep_take(folder, project, asked, at=LATER)
    assert take is None
    assert told.findings[0].code == "takes.other-sweeps"
    assert "which are 1.5 s long" in told.findings[0].message


def test_the_room_is_planned_once_for_all_that_a_command_asks_of_it(room):
    _, project, _ = room
    assert prepared(replace(project)) is prepared(project)
