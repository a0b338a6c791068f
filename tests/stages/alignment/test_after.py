"""After the values are typed: verification, what changed, and where the loudspeakers really are."""

from dataclasses import replace

import numpy as np
import pytest

from seatfield.model import TakeState
from seatfield.stages import alignment
from seatfield.stages.alignment import as_built, redo, setup_of, verify
from seatfield.stages.takes.filters import high_pass, low_pass, setting_response

MAINS = {"M+030": (0.0080, -30.0, None), "M-030": (0.0076, -31.0, None), "M+000": (0.0070, -29.0, None)}


def as_typed(bench, project, found, spot):
    """The responses that an amplifier with the found settings would give, from the bare ones."""
    from seatfield.dsp.impulse import ImpulseResponse

    settings = {one.run: one for one in found.settings}
    menu = project.amplifiers[0].settings
    heard = []
    sub = spot.of("sub").response.samples
    count = len(sub)
    freq_hz = np.fft.rfftfreq(count, 1 / bench.rate_hz)
    limit = 10**0.5 * np.prod([second_order(row, freq_hz, bench.rate_hz) for row in bench.lfe()], axis=0)
    bass = np.fft.rfft(sub) / np.where(np.abs(limit) > 1e-9, limit, 1e-9) * (freq_hz < 1000)
    for one in spot.heard:
        if one.low:
            continue
        own = settings[one.run]
        spectrum = np.fft.rfft(one.response.samples) * setting_response(own, freq_hz)
        spectrum = spectrum * high_pass(menu, own.crossover_hz, freq_hz)
        spectrum = spectrum + bass * low_pass(menu, own.crossover_hz, freq_hz) * setting_response(
            settings["sub"], freq_hz
        )
        response = ImpulseResponse(np.fft.irfft(spectrum, count), bench.rate_hz, one.response.start_s)
        arrival = replace(one.arrival, time_s=one.arrival.time_s + own.delay_s)
        heard.append(replace(one, response=response, arrival=arrival))
    return replace(spot, heard=tuple(heard), state=TakeState.AS_USED)


def second_order(row, freq_hz, rate_hz):
    z = np.exp(-2j * np.pi * freq_hz / rate_hz)
    return (row[0] + row[1] * z + row[2] * z**2) / (row[3] + row[4] * z + row[5] * z**2)


@pytest.fixture(params=[(2, 4, 50), (4, 4, 20)], ids=["no pair", "a pair"])
def typed(bench, request):
    """Aligned and typed, with crossover orders that are no pair and with some that are."""
    project = bench.project(**dict(zip(("high", "low", "corner"), request.param, strict=True)))
    made = bench.planned(project)
    spot = bench.spot(project, MAINS, sub=bench.path(0.012, -22.0, bench.lfe()))
    found = alignment.plan(project, made.layout, made.terminals, bench.takes(spot))
    return project, found, spot


def test_a_take_after_the_alignment_agrees_with_the_prediction_within_half_a_decibel(bench, typed):
    project, found, spot = typed
    told = verify(found.predicted, [as_typed(bench, project, found, spot)])
    assert {one.run for one in told} == set(MAINS)
    assert all(one.off_db < 0.5 and one.verdict == "as predicted" for one in told)
    assert all(abs(one.arrival_off_ms) < 0.05 for one in told)


def test_a_louder_volume_knob_alone_is_no_deviation(bench, typed):
    from seatfield.dsp.impulse import ImpulseResponse

    project, found, spot = typed
    after = as_typed(bench, project, found, spot)
    loud = tuple(
        replace(
            one, response=ImpulseResponse(2.0 * one.response.samples, bench.rate_hz, one.response.start_s)
        )
        for one in after.heard
    )
    assert all(one.off_db < 0.5 for one in verify(found.predicted, [replace(after, heard=loud)]))


@pytest.mark.parametrize("typed", [(4, 4, 20)], indirect=True)
def test_a_subwoofer_that_was_turned_since_shows_at_the_crossover(bench, typed):
    project, found, spot = typed
    turned = replace(found, settings=tuple(replace(one, inverted=one.run == "sub") for one in found.settings))
    told = verify(found.predicted, [as_typed(bench, project, turned, spot)])
    good = verify(found.predicted, [as_typed(bench, project, found, spot)])
    assert all(one.off_db > 3 * right.off_db for one, right in zip(told, good, strict=True))
    assert all(40 < one.worst_hz < 150 for one in told)


def test_what_changed_says_what_to_do_again_and_nothing_else(bench):
    project = bench.project()
    made = bench.planned(project)
    before = setup_of(project, made.layout)
    assert redo(before, setup_of(project, made.layout)) == ()
    moved = replace(project, subwoofers=(replace(project.subwoofers[0], at=(4.5, 0.5, 0.2)),))
    (told,) = redo(before, setup_of(moved, bench.planned(moved).layout))
    assert told.changed == "subwoofer sub changed"
    assert told.redo[0] == "take sub again at every seat"
    fewer = {key: value for key, value in before.items() if key != "seat middle"}
    assert [one.changed for one in redo(fewer, before)] == ["seat middle is new"]


ROUND = np.array(
    [
        (0, 0, 0),
        (0.45, 0.1, 0.4),
        (-0.45, 0.15, -0.2),
        (0.1, -0.5, 0.3),
        (-0.3, -0.35, 0),
        (0.25, 0.45, -0.25),
    ]
)


def test_loudspeakers_are_found_where_they_are_and_one_off_the_plan_is_told(bench):
    """Exact arrivals with a loopback: the geometry alone decides (least squares, as in the engine's own tests)."""
    project = bench.project()
    made = bench.planned(project)
    true = {run: np.array(at) for run, at in made.known.places.items() if run != "sub"}
    true["M-030"] = true["M-030"] + [0.5, 0.1, 0.0]
    spots = [
        bench.spot(
            project,
            {
                run: (float(np.linalg.norm(at - ear)) / made.known.speed_of_sound_m_s, -30.0, None)
                for run, at in true.items()
            },
            position=tuple(ear),
            seat="",
        )
        for ear in np.array(project.main_seat.head) + ROUND
    ]
    built, findings = as_built(project, made.survey, made.known, spots)
    for one in built:
        assert np.linalg.norm(np.subtract(one.position, true[one.run])) < 0.03
        assert one.half_axes_m[0] > 0.02
    assert [finding.subject for finding in findings] == ["M-030"]
    assert findings[0].measured == pytest.approx(0.51, abs=0.03)


def test_three_positions_are_too_few_to_say_where_anything_is(bench):
    project = bench.project()
    made = bench.planned(project)
    spots = [bench.spot(project, MAINS, position=(2.5, 3.0, 1.0 + 0.1 * step)) for step in range(3)]
    assert as_built(project, made.survey, made.known, spots) == ((), ())
