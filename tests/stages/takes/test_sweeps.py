"""What is played: columns in the standard's order, ways in words, chirps in every file, cautions first."""

import numpy as np
import pytest

from seatfield.model import SweepSettings
from seatfield.stages import layout, survey, terminals
from seatfield.stages.takes import NoSuchChirpsError, SweepParams, block, blocks, plan_sweeps
from seatfield.stages.takes.columns import columns_for, position_name
from seatfield.stages.takes.playing import announcement, block_s, pips_of, stimulus_of, stimulus_start_s
from seatfield.stages.takes.sheet import sheet


def planned(project, **chosen):
    laid_out = layout.plan(project, survey.plan(project))
    return plan_sweeps(project, laid_out, terminals.plan(project, laid_out), SweepParams(**chosen))


@pytest.mark.parametrize(
    ("labels", "mask", "order"),
    [
        (("M+030", "M-030"), 0x3, ("front left", "front right")),
        (
            ("M+110", "M-110", "LFE1", "M+000", "M-030", "M+030"),
            0x60F,
            ("front left", "front right", "front centre", "low frequency", "side left", "side right"),
        ),
        (
            ("M+135", "M-135", "M+090", "M-090", "M+000", "M+030", "M-030", "LFE1"),
            0x63F,
            (
                "front left",
                "front right",
                "front centre",
                "low frequency",
                "back left",
                "back right",
                "side left",
                "side right",
            ),
        ),
    ],
)
def test_columns_stand_in_the_order_of_the_header_s_mask(labels, mask, order):
    """The masks are those that open headers name for stereo, 5.1 with side and 7.1 (KSAUDIO_SPEAKER_...)."""
    columns = columns_for(labels)
    assert columns.mask == mask
    assert tuple(position_name(label) for label in columns.labels) == order
    assert mask.bit_count() == len(columns.labels)


def test_heights_are_reached_by_moving_their_run_with_power_off(install):
    plan = plan_sweeps(install.project, install.layout, install.terminals)
    height = next(one for one in plan.reach if one.run == "U+030")
    assert height.ways[0].kind == "moved run"
    assert "off and unplug" in height.ways[0].words
    sounding = next(one for one in plan.sweeps.soundings if one.run == "U+030")
    assert sounding.feed == "M+110"
    assert sounding.moved_to


def test_what_no_amplifier_drives_is_named_and_left_out(plain_room):
    plan = planned(
        plain_room('[[amplifier]]\nname = "small"\nchannels = 2\nprocessed = 2\nsub_outputs = 0\n')
    )
    assert {one.run for one in plan.reach if one.number == 0} >= {"M+110", "M-110"}
    assert all(finding.code == "takes.not-reached" for finding in plan.findings)
    assert "Connect it first" in plan.findings[0].message


def test_each_sweep_sounds_in_one_column_and_the_chirps_in_another(install):
    sweeps = install.sweeps()
    samples = block(sweeps, next(one for one in sweeps.soundings if one.run == "M+030"))
    energy = dict(zip(sweeps.columns, np.sum(samples**2, axis=0), strict=True))
    assert {label for label, value in energy.items() if value > 0} == {"M+030", "M+000"}
    assert energy["M+030"] > 10 * energy["M+000"]


def test_the_chirps_stand_at_both_ends_at_the_stimulus_s_distance(install):
    sweeps = install.sweeps()
    stimulus = stimulus_of(sweeps.settings)
    samples = block(sweeps, sweeps.soundings[0])[:, sweeps.columns.index("M+000")]
    loud = np.flatnonzero(np.abs(samples) > 0.5 * stimulus.peak) / sweeps.settings.rate_hz
    middle = stimulus.first_marker_s + 0.5 * stimulus.marker.duration_s + stimulus_start_s(sweeps.settings)
    assert abs(np.median(loud[loud < middle + 1]) - middle) < 0.01
    assert abs(np.median(loud[loud > middle + 1]) - middle - stimulus.spacing_s) < 0.01


def test_the_pips_tell_the_number_and_grow_towards_the_sweep_but_stay_under_it():
    settings = SweepSettings()
    for number in (1, 4, 5, 13, 16):
        samples = announcement(number, settings)
        peaks = [np.max(np.abs(part)) for part in np.split(samples[: 8 * 16320], 8)]
        sounding = [peak for peak in peaks if peak > 0]
        assert len(sounding) == sum(pips_of(number)) == number // 5 + number % 5
        assert sounding == sorted(sounding)
        assert sounding[-1] <= 10 ** ((settings.level_db - 12) / 20) * 1.0001


def test_a_file_of_all_sweeps_begins_with_bursts_that_grow_from_quiet(install):
    sweeps = install.sweeps(one_file=True)
    first, *rest = blocks(sweeps)
    assert len(rest) == len(sweeps.soundings)
    assert np.max(np.abs(first[: sweeps.settings.rate_hz // 2])) < 0.01 * np.max(np.abs(first))
    assert all(len(part) == round(block_s(sweeps.settings) * 48000) for part in rest)


def test_the_sheet_gives_the_caution_first_and_every_channel_a_way(install):
    plan = plan_sweeps(install.project, install.layout, install.terminals)
    text = sheet(plan)
    assert (
        text.index("harms hearing") < text.index("Switch off upmixing") < text.index("Columns of every file")
    )
    assert all(one.run in text for one in plan.reach)
    assert max(len(line) for line in text.splitlines()) <= 80


def test_chirps_asked_of_a_channel_without_a_column_are_refused_with_what_is_allowed(install):
    with pytest.raises(NoSuchChirpsError, match=r"'U\+030' were asked for; they can come from M\+030"):
        install.sweeps(chirps="U+030")
