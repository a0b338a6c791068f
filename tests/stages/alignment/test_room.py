"""The room model corrected by what was measured: a room that is larger and deader than described is found so."""

from dataclasses import replace

import numpy as np
import pytest

from seatfield.dsp.impulse import ImpulseResponse
from seatfield.stages.alignment import aged, fit_room
from seatfield.stages.takes import TakeRead
from seatfield.stages.takes.result import ChannelTaken, DecayTold, DistortionTold

MAINS = {"M+030": (0.0080, -30.0, None), "M-030": (0.0076, -31.0, None)}


def library_bass(size, absorption, source, microphone, rate_hz=2000):
    """Image sources of a general library (pyroomacoustics), many orders of them, at a rate that suits the bass."""
    import pyroomacoustics as pra

    room = pra.ShoeBox(size, fs=rate_hz, materials=pra.Material(absorption), max_order=40)
    room.add_source(list(source))
    room.add_microphone(list(microphone))
    room.compute_rir()
    return np.asarray(room.rir[0][0])[40:]


def with_bass(bench, made, size, ears):
    """Spots whose subwoofer sounds in a room of another size, through its own box and the channel's limit."""
    from scipy import signal

    spots = []
    for place, ear in enumerate(ears):
        slow = library_bass(size, 0.22, made.known.places["sub"], ear)
        fast = signal.resample_poly(slow, 24, 1)[:80000]
        padded = np.concatenate([np.zeros(4800), fast, np.zeros(96000)])[:96000]
        box = signal.butter(2, 20, "high", fs=bench.rate_hz, output="sos")
        heard = signal.sosfilt(bench.lfe(), signal.sosfilt(box, padded))
        spots.append(
            bench.spot(
                made.project,
                MAINS,
                sub=ImpulseResponse(heard, bench.rate_hz, -0.1),
                seat="middle" if place == 0 else "",
                position=tuple(ear),
            )
        )
    return spots


def test_a_room_five_per_cent_larger_than_described_is_found_and_the_model_fits_better(bench):
    project = bench.project()
    made = bench.planned(project)
    made.project = project
    head = np.array(project.main_seat.head)
    away = ((0.0, 0.0, 0.0), (0.6, -0.4, 0.1), (-0.7, -0.9, 0.0), (0.3, -1.2, 0.2))
    ears = [head + np.array(one) for one in away]
    spots = with_bass(bench, made, [5 * 1.05, 4 * 1.05, 2.5 * 1.05], ears)
    fitted = fit_room(project, made.survey, made.known, spots).bass
    assert fitted.size == pytest.approx(1.05, abs=0.015)
    assert fitted.off_after_db < 0.7 * fitted.off_before_db
    assert fitted.kept_back_after_db < fitted.kept_back_before_db


def test_measured_decay_gives_the_absorption_that_eyring_asks_for(bench):
    project = bench.project()
    made = bench.planned(project)
    spot = bench.spot(project, MAINS)
    told = DecayTold(1000.0, 0.40, "T30", 0.0, "")
    heard = tuple(replace(one, told=replace(one.told, decay_s=(told,))) for one in spot.heard)
    (fitted,) = fit_room(project, made.survey, made.known, [replace(spot, heard=heard)]).decays
    volume, surface = 5 * 4 * 2.5, 2 * (5 * 4 + 5 * 2.5 + 4 * 2.5)
    # Eyring 1930: T = 24 ln 10 V / (c S (-ln (1 - a)))
    again = (
        24
        * np.log(10)
        * volume
        / (made.known.speed_of_sound_m_s * surface * -np.log(1 - fitted.measured_absorption))
    )
    assert again == pytest.approx(0.40, rel=1e-9)
    assert fitted.expected_absorption > fitted.measured_absorption  # it was expected to die away sooner


def test_without_a_subwoofer_or_a_decay_nothing_is_fitted(bench):
    project = bench.project()
    made = bench.planned(project)
    fitted = fit_room(project, made.survey, made.known, [bench.spot(project, MAINS)])
    assert fitted.decays == ()
    assert fitted.bass is None


def take(at, levels, distances, distortion=-50.0):
    channels = tuple(
        ChannelTaken(
            run,
            run,
            level_db=levels[run],
            distance_m=distances[run],
            distortion_db=(DistortionTold(1000.0, distortion, distortion),),
        )
        for run in levels
    )
    from seatfield.model import TakeState

    return TakeRead("take", at, (0, 0, 1), "middle", TakeState.BARE, channels)


def test_over_the_years_only_what_one_channel_changed_by_is_told():
    first = take(
        "2031-01-01", {"a": -30, "b": -31, "c": -29, "d": -30}, {"a": 2.0, "b": 2.1, "c": 2.5, "d": 2.2}
    )
    louder = {"a": -26, "b": -27, "c": -29.5, "d": -26}  # the volume is up by 4 dB, and c lost 4.5 of them
    moved = {"a": 2.0, "b": 2.1, "c": 2.5, "d": 2.5}
    told = {one.run: one for one in aged([take("2033-01-01", louder, moved, -40.0), first])}
    assert told["c"].level_db == pytest.approx(-4.5)
    assert told["d"].distance_m == pytest.approx(0.3)
    assert "quieter" in told["c"].worth_telling[0]
    assert "it was moved" in told["d"].worth_telling[0]
    assert "a driver may be failing" in told["a"].worth_telling[0]
    assert (told["a"].since, told["a"].until) == ("2031-01-01", "2033-01-01")


def test_one_take_alone_has_no_history():
    assert aged([take("2031-01-01", {"a": -30}, {"a": 2.0})]) == ()
