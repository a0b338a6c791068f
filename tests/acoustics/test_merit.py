"""Merits against plain array arithmetic."""

import numpy as np
import pytest

from seatfield.acoustics import MeritParams, cross_power, make_bands, score_pairs, score_response

FREQ = np.geomspace(20, 120, 60)


def some_responses(sources=12, seats=3, seed=0):
    """Return smooth random responses."""
    rng = np.random.default_rng(seed)
    delays, gains = rng.uniform(0, 0.03, (2, sources, seats, 5))
    return (gains[..., None] * np.exp(-2j * np.pi * FREQ * delays[..., None])).sum(axis=2)


def plain_merit(response, low=20.0, per_octave=6):
    """Return the merit of one response, shape (seats, frequencies), loop by loop from its definition."""
    number = np.floor(np.log2(FREQ / low) * per_octave + 1e-9)
    levels = np.array(
        [
            [10 * np.log10(np.mean(np.abs(row[number == n]) ** 2)) for n in np.unique(number)]
            for row in response
        ]
    )
    uneven = np.mean([np.var(row) for row in levels])
    spread = np.mean([np.var(column) for column in levels.T])
    return np.sqrt(uneven + spread)


def test_merit_is_its_definition():
    """Unevenness across frequency and spread between seats, in bands of a sixth of an octave, written out in loops."""
    responses = some_responses()
    score = score_response(responses, make_bands(FREQ, 3))
    np.testing.assert_allclose(score.merit_db, [plain_merit(r) for r in responses], rtol=1e-9)
    np.testing.assert_allclose(score.merit_db**2, score.uneven_db**2 + score.spread_db**2, rtol=1e-12)


def test_a_flat_response_everywhere_is_perfect():
    """Equal levels at all seats and frequencies have merit zero; one seat 6 dB louder is spread and no unevenness."""
    flat = np.ones((1, 2, len(FREQ)), dtype=complex)
    bands = make_bands(FREQ, 2)
    assert score_response(flat, bands).merit_db == pytest.approx(0.0, abs=1e-6)
    flat[0, 1] *= 10 ** (6 / 20)
    score = score_response(flat, bands)
    assert score.uneven_db == pytest.approx(0.0, abs=1e-6)
    assert score.spread_db == pytest.approx(3.0, rel=1e-6)
    assert score.level_db == pytest.approx(3.0, rel=1e-6)


def test_gain_and_a_common_delay_do_not_matter():
    """Merit is the same 10 dB louder and 3 ms later."""
    responses, bands = some_responses(), make_bands(FREQ, 3)
    later = responses * 10**0.5 * np.exp(-2j * np.pi * FREQ * 0.003)
    np.testing.assert_allclose(
        score_response(later, bands).merit_db, score_response(responses, bands).merit_db, rtol=1e-9
    )


def test_every_pair_is_scored_exactly():
    """Merits from cross powers are those of the summed responses, for every pair."""
    responses, bands = some_responses(), make_bands(FREQ, 3)
    pairs, score = score_pairs(cross_power(responses, bands), bands)
    assert len(pairs) == 66
    np.testing.assert_allclose(
        score.merit_db,
        score_response(responses[pairs[:, 0]] + responses[pairs[:, 1]], bands).merit_db,
        rtol=1e-9,
    )


def test_a_seat_without_weight_does_not_count():
    """With all weight on the first seat merit is that seat's unevenness."""
    responses = some_responses()
    score = score_response(responses, make_bands(FREQ, 3, MeritParams(seat_weights=(1.0, 0.0, 0.0))))
    alone = score_response(responses[:, :1], make_bands(FREQ, 1))
    np.testing.assert_allclose(score.merit_db, alone.merit_db, rtol=1e-9)


def test_too_few_frequencies_and_wrong_weights_are_told():
    """A grid without two bands and weights that do not fit the seats are refused."""
    with pytest.raises(ValueError, match="give enough for two bands or more"):
        make_bands([300.0, 400.0], 2)
    with pytest.raises(ValueError, match="1 seat weights were given for 2 seats"):
        make_bands(FREQ, 2, MeritParams(seat_weights=(1.0,)))
