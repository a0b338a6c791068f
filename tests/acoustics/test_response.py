"""Responses against the closed form, reciprocity and the decay of a mode."""

import numpy as np
import pytest

from seatfield.acoustics import (
    Boundary,
    Doubt,
    DoubtParams,
    WallPatch,
    admittance_from_absorption,
    boundary_losses,
    damping,
    doubts,
    enrich,
    lead,
    response_band,
    room_modes,
    transfer,
    uncoupled,
)

BOX = [[0, 0], [5, 0], [5, 4], [0, 4]]
SIDES = (5.0, 4.0, 2.5)
C = 343.2
SOURCES = np.array([[0.4, 0.4, 0.2], [4.6, 3.5, 0.2], [2.5, 0.3, 0.2]])
SEATS = np.array([[3.1, 2.2, 1.1], [1.2, 3.0, 1.1]])


def textbook_sum(source, seat, freq_hz, beta, terms=60):
    """Return 4π times the modal sum of a rectangular room of one small admittance, each mode damped by itself
    (Kuttruff, Room Acoustics, chapter 3; Morse and Ingard, Theoretical Acoustics, §9.5)."""
    k = 2 * np.pi * freq_hz / C
    n = np.arange(terms)
    varies = np.where(n == 0, 1, 2)
    axes = np.eye(3, dtype=int) * (terms - 1) + 1  # shapes that lay an axis along its dimension
    shape, wave, loss = 1.0, 0.0, 0.0
    for axis, side in enumerate(SIDES):
        at = np.cos(n * np.pi * source[axis] / side) * np.cos(n * np.pi * seat[axis] / side)
        shape = shape * (varies / side * at).reshape(axes[axis])
        wave = wave + ((n * np.pi / side) ** 2).reshape(axes[axis])
        loss = loss + (2 * beta * varies / side).reshape(axes[axis])
    return 4 * np.pi * np.array([(shape / (wave - kk**2 + 1j * kk * loss)).sum() for kk in k])


def exact_sum(source, seat, freq_hz, beta, terms=50):
    """Return 4π times the exact sum for one admittance: along each axis ψ = cos qx + (ikβ/q) sin qx with tan qL =
    2ikβq / (q² + k²β²) (Morse and Ingard, §9.5), the roots by Newton's method from the rigid ones."""
    result = []
    for k in 2 * np.pi * freq_hz / C:
        g = 1j * k * beta
        shape, wave = 1.0, 0.0
        axes = np.eye(3, dtype=int) * (terms - 1) + 1
        for axis, side in enumerate(SIDES):
            q = np.arange(terms) * np.pi / side + 0j
            q[0] = np.sqrt(2 * g / side)
            q[1:] += 2 * g / (side * q[1:])
            for _ in range(20):
                sine, cosine = np.sin(q * side), np.cos(q * side)
                value = (q**2 - g**2) * sine - 2 * g * q * cosine
                slope = (
                    2 * q * sine + (q**2 - g**2) * side * cosine - 2 * g * cosine + 2 * g * q * side * sine
                )
                q = q - value / slope
            r = g / q
            double = np.sin(2 * q * side) / (4 * q)
            norm = (side / 2 + double) + r**2 * (side / 2 - double) + r * np.sin(q * side) ** 2 / q
            at = [np.cos(q * x) + r * np.sin(q * x) for x in (source[axis], seat[axis])]
            shape = shape * (at[0] * at[1] / norm).reshape(axes[axis])
            wave = wave + (q**2).reshape(axes[axis])
        result.append((shape / (wave - k**2)).sum())
    return 4 * np.pi * np.array(result)


@pytest.mark.parametrize("absorption", [0.02, 0.1])
@pytest.mark.parametrize("kind", ["textbook", "exact"])
def test_a_box_has_its_closed_form_response(kind, absorption):
    """Within 0.1 dB of the closed-form sums of more than 100,000 modes, 15 to 200 Hz, wherever the level is above a
    floor 15 dB under its median: the textbook's with each mode damped by itself, and the exact one, of which the
    coupled losses are the model."""
    freq = np.geomspace(15, 200, 40)
    beta = float(admittance_from_absorption(absorption))
    modes = enrich(room_modes(BOX, SIDES[2], to_hz=300), SEATS)
    losses = boundary_losses(modes, Boundary([100.0], [beta], [beta], [beta]))
    model, closed = (uncoupled(losses), textbook_sum) if kind == "textbook" else (losses, exact_sum)
    response = transfer(modes, model, SOURCES, SEATS, freq)
    for source, row in zip(SOURCES, response, strict=True):
        for seat, ours in zip(SEATS, row, strict=True):
            level = 20 * np.log10(np.abs(closed(source, seat, freq, beta)))
            heard = level > np.median(level) - 15
            np.testing.assert_allclose(20 * np.log10(np.abs(ours))[heard], level[heard], atol=0.1)


def test_enriching_is_what_corrects_a_truncated_sum():
    """Modes to 250 Hz alone miss the closed form at 1.2 m from the source by four times what the enriched ones do or
    more."""
    freq = np.geomspace(15, 200, 30)
    source, seat = np.array([[2.5, 1.6, 0.3]]), np.array([[3.1, 2.2, 1.1]])
    exact = exact_sum(source[0], seat[0], freq, 0.003)
    errors = []
    for modes in (room_modes(BOX, SIDES[2], to_hz=250), enrich(room_modes(BOX, SIDES[2], to_hz=250), seat)):
        losses = boundary_losses(modes, Boundary([100.0], [0.003], [0.003], [0.003]))
        errors.append(np.abs(transfer(modes, losses, source, seat, freq)[0, 0] - exact).mean())
    assert errors[1] < errors[0] / 4


@pytest.mark.parametrize("ceiling", [2.5, [[[0, 0, 2.2], [5, 0, 2.2], [0, 4, 3.0]]]])
def test_source_and_receiver_may_be_exchanged(ceiling):
    """Reciprocity holds to 1e-10 with uneven walls, an opening and bands."""
    both = np.concatenate([SOURCES, SEATS])
    boundary = Boundary(
        [60.0, 200.0],
        [[0.01, 0.02], [0.1, 0.05], [0.03, 0.03], [0.0, 0.0]],
        [0.1, 0.05],
        [0.02, 0.02],
        (WallPatch(3, (0.5, 1.5), (0, 2), (1.0, 1.0)),),
    )
    modes = enrich(room_modes(BOX, ceiling, to_hz=120), both, boundary)
    response = transfer(modes, boundary_losses(modes, boundary), both, both, np.array([31.0, 55.0, 90.0]))
    np.testing.assert_allclose(response, response.transpose(1, 0, 2), atol=1e-10 * np.abs(response).max())


def test_the_decay_of_a_mode_is_its_damping():
    """The impulse response filtered to one mode, from the response around it, falls at the rate of the boundary
    integral: the −3 dB width of its resonance is δ/π (Kuttruff, Room Acoustics, chapter 3)."""
    modes = room_modes(BOX, 2.5, to_hz=80)
    losses = boundary_losses(modes, Boundary([100.0], [[0.004], [0.01], [0.004], [0.006]], [0.005], [0.005]))
    decay = damping(modes, losses)[0]
    freq = modes.freq_hz[0] + np.linspace(-1, 1, 4001) * 3 * decay / np.pi
    power = np.abs(transfer(modes, losses, [[0.1, 2.0, 1.25]], [[4.9, 2.0, 1.25]], freq)[0, 0]) ** 2
    width = np.ptp(freq[power > power.max() / 2])
    assert width == pytest.approx(decay / np.pi, rel=0.01)


def test_a_ringing_mode_dies_away_at_its_damping():
    """The inverse Fourier transform of the response, windowed to one mode, decays by exp(−δ t)."""
    modes = room_modes(BOX, 2.5, to_hz=80)
    losses = boundary_losses(modes, Boundary([100.0], [[0.004], [0.01], [0.004], [0.006]], [0.005], [0.005]))
    decay = damping(modes, losses)[0]
    freq = np.arange(0.05, 70, 0.05)
    response = transfer(modes, losses, [[0.1, 2.0, 1.25]], [[4.9, 2.0, 1.25]], freq)[0, 0]
    window = np.exp(-(((freq - modes.freq_hz[0]) / 3.0) ** 2))
    time = np.array([0.4, 1.2])
    envelope = np.abs((response * window) @ np.exp(2j * np.pi * freq[:, None] * time))
    assert np.log(envelope[0] / envelope[1]) / (time[1] - time[0]) == pytest.approx(decay, rel=0.02)


def test_below_the_first_mode_pressure_is_that_of_a_sealed_vessel():
    """Far below the first mode the room is a spring: p = ρc² Q /(iωV), over the free field 4π/(k² V)."""
    modes = enrich(room_modes(BOX, 2.5, to_hz=100), SEATS)
    response = transfer(
        modes, boundary_losses(modes, Boundary([100.0], [0.0], [0.0], [0.0])), SOURCES, SEATS, np.array([0.5])
    )
    np.testing.assert_allclose(np.abs(response), 4 * np.pi / ((2 * np.pi * 0.5 / C) ** 2 * 50), rtol=2e-3)


def test_every_term_of_the_uniform_room_scales():
    """A room 3 % larger has its response 3 % lower in frequency."""
    modes = enrich(room_modes(BOX, 2.5, to_hz=150), SEATS)
    losses = boundary_losses(modes, Boundary([100.0], [0.01], [0.02], [0.02]))
    freq = np.array([30.0, 47.0, 80.0])
    larger = transfer(modes, losses, SOURCES, SEATS, freq / 1.03, Doubt(size=1.03))
    np.testing.assert_allclose(larger * 1.03, transfer(modes, losses, SOURCES, SEATS, freq), rtol=1e-10)


def test_the_band_holds_the_response_and_each_doubt():
    """The band contains the response of the room as described and of each doubt, and is widest where the response is
    steep."""
    modes = enrich(room_modes(BOX, 2.5, to_hz=150), SEATS)
    losses = boundary_losses(modes, Boundary([100.0], [0.01], [0.02], [0.02]))
    freq = np.geomspace(20, 120, 50)
    band = response_band(modes, losses, SOURCES, SEATS, freq)
    assert (band.low_db <= band.level_db).all()
    assert (band.level_db <= band.high_db).all()
    for doubt in doubts(modes):
        level = 20 * np.log10(np.abs(transfer(modes, losses, SOURCES, SEATS, freq, doubt)))
        assert (level >= band.low_db - 1e-9).all()
        assert (level <= band.high_db + 1e-9).all()
    known = response_band(modes, losses, SOURCES, SEATS, freq, DoubtParams(1.0, 0.0, 0.0, 0.0))
    np.testing.assert_allclose(known.high_db, known.low_db, atol=1e-9)


def test_a_lead_that_changes_sign_is_no_lead():
    """A rival that wins under one doubt makes the smallest lead negative."""
    low, high = lead([[3.0, 4.0], [3.5, 3.2], [3.0, 3.1]], 0, 1)
    assert (low, high) == (pytest.approx(-0.3), pytest.approx(1.0))


def test_a_seat_above_the_ceiling_is_told():
    """A height outside the room is refused with the room's."""
    modes = room_modes(BOX, 2.5, to_hz=60)
    losses = boundary_losses(modes, Boundary([100.0], [0.01], [0.01], [0.01]))
    with pytest.raises(ValueError, match=r"in a room 2\.500 m high"):
        transfer(modes, losses, SOURCES, [[1.0, 1.0, 11.0]], [50.0])
