"""Searches against exhaustive ones, and toys that a person can check."""

from itertools import combinations

import numpy as np
import pytest
import shapely

from seatfield.acoustics import (
    TuneParams,
    best_sets,
    cross_power,
    make_bands,
    misplaced,
    nearby_places,
    really_different,
    score_response,
    settings_response,
    tune,
)

FREQ = np.geomspace(20, 120, 60)


def some_responses(sources=14, seats=3, seed=0):
    """Return smooth random responses."""
    rng = np.random.default_rng(seed)
    delays, gains = rng.uniform(0, 0.03, (2, sources, seats, 5))
    return (gains[..., None] * np.exp(-2j * np.pi * FREQ * delays[..., None])).sum(axis=2)


@pytest.mark.parametrize("size", [1, 2, 3, 4])
@pytest.mark.parametrize("seed", [0, 1, 2])
def test_the_search_finds_the_best_of_all_sets(size, seed):
    """On 14 places the search ends at the best of all 14, 91, 364 and 1001 sets, each scored by itself."""
    responses, bands = some_responses(seed=seed), make_bands(FREQ, 3)
    found, score = best_sets(cross_power(responses, bands), bands, size)
    everything = np.array(list(combinations(range(14), size)))
    merits = score_response(responses[everything].sum(axis=1), bands).merit_db
    assert score.merit_db[0] == pytest.approx(merits.min(), rel=1e-9)
    np.testing.assert_array_equal(found[0], everything[merits.argmin()])
    assert (np.diff(score.merit_db) >= 0).all()


def test_more_sets_than_places_are_refused():
    """Four sources need four places."""
    responses, bands = some_responses(sources=3), make_bands(FREQ, 3)
    with pytest.raises(ValueError, match="Sets of 4 were asked of 3 places"):
        best_sets(cross_power(responses, bands), bands, 4)


def test_tuning_undoes_a_delay_a_gain_and_a_turned_plug():
    """Two equal sources of which one is inverted, 4 ms early and 2 dB loud: tuned, their sum is flat again.

    Only the sum of both is flat; each alone has a dip that the other fills.
    """
    half = 1 / (1 + 1j * FREQ / 50) ** 2
    first, second = half, (1 - half) * -(10 ** (2 / 20)) * np.exp(2j * np.pi * FREQ * 0.004)
    response = np.stack([first, second])[None, :, None]
    bands = make_bands(FREQ, 1)
    result = tune(response, FREQ, bands)
    assert result.inverted[0, 1] != result.inverted[0, 0]
    assert result.delay_s[0, 1] - result.delay_s[0, 0] == pytest.approx(0.004, abs=0.0006)
    assert result.gain_db[0, 1] - result.gain_db[0, 0] == pytest.approx(-2.0, abs=0.1)
    assert result.score.merit_db[0] < 0.05


def test_tuned_sets_are_never_worse_than_equal_gain():
    """Tuning a few sets of three lowers every merit or leaves it, and its scores are those of the settings it
    returns."""
    responses, bands = some_responses(), make_bands(FREQ, 3)
    sets = np.array(list(combinations(range(6), 3)))
    result = tune(responses[sets], FREQ, bands, TuneParams(rounds=2))
    equal = score_response(responses[sets].sum(axis=1), bands).merit_db
    assert (result.score.merit_db <= equal + 1e-9).all()
    gains = settings_response(result.delay_s, result.gain_db, result.inverted, FREQ)
    played = (responses[sets] * gains[:, :, None]).sum(axis=1)
    np.testing.assert_allclose(score_response(played, bands).merit_db, result.score.merit_db, rtol=1e-9)
    assert (result.delay_s.min(axis=1) == 0).all()
    assert (result.gain_db.max(axis=1) == 0).all()


def test_tuning_reaches_the_best_of_its_grid():
    """For pairs the first round is the best of every delay, gain and polarity, tried one by one."""
    responses, bands = some_responses(sources=4), make_bands(FREQ, 3)
    pairs = np.array(list(combinations(range(4), 2)))
    params = TuneParams(delay_s=0.006, delay_steps=4, gain_db=(-3.0, 0.0), rounds=1)
    result = tune(responses[pairs], FREQ, bands, params)
    for pair, merit in zip(pairs, result.score.merit_db, strict=True):
        tried = [
            responses[pair[0]]
            + sign * 10 ** (gain / 20) * responses[pair[1]] * np.exp(-2j * np.pi * FREQ * delay)
            for delay in np.linspace(-0.006, 0.006, 9)
            for gain in (-3.0, 0.0)
            for sign in (1, -1)
        ]
        assert merit == pytest.approx(score_response(np.array(tried), bands).merit_db.min(), rel=1e-9)


def test_places_near_a_better_one_are_not_different():
    """Of five places on a line 0.5 m apart, every second one is different by 0.8 m; a pair is the same both ways
    round."""
    line = np.column_stack([np.arange(5) * 0.5, np.zeros(5), np.zeros(5)])
    np.testing.assert_array_equal(really_different([1, 2, 3, 4, 5], line, apart_m=0.8), [0, 2, 4])
    pairs = np.array([[[0, 0, 0], [3, 0, 0]], [[3, 0, 0], [0, 0, 0]], [[0, 0, 0], [1.5, 0, 0]]])
    np.testing.assert_array_equal(really_different([1.0, 1.1, 1.2], pairs, apart_m=0.8), [0, 2])


def test_places_nearby_stay_in_the_room():
    """A place 5 cm from a corner is moved 15 cm into the room and not through its walls."""
    room = shapely.box(0, 0, 4, 3)
    moved = nearby_places([[0.05, 0.05, 0.2], [2.0, 1.5, 0.2]], room)
    np.testing.assert_allclose(moved[0, :, :2], [[0.2, 0.05], [0.05, 0.05], [0.05, 0.2], [0.05, 0.05]])
    np.testing.assert_allclose(np.linalg.norm(moved[1] - [2.0, 1.5, 0.2], axis=1), 0.15)


def test_a_source_off_its_place_is_scored_there():
    """Scores of misplaced sets are those of the responses with one source exchanged for its neighbour."""
    responses, bands = some_responses(), make_bands(FREQ, 3)
    sets = np.array([[0, 1], [2, 3]])
    nearby = responses[np.array([[[4, 5], [6, 7]], [[8, 9], [10, 11]]])]
    settings = settings_response(np.array([[0.0, 0.002]] * 2), np.zeros((2, 2)), np.zeros((2, 2)), FREQ)
    score = misplaced(responses[sets], nearby, settings, bands)
    assert score.merit_db.shape == (2, 4)
    by_hand = responses[4] * settings[0, 0] + responses[1] * settings[0, 1]
    assert score.merit_db[0, 0] == pytest.approx(score_response(by_hand[None], bands).merit_db[0], rel=1e-9)
    by_hand = responses[2] * settings[1, 0] + responses[11] * settings[1, 1]
    assert score.merit_db[1, 3] == pytest.approx(score_response(by_hand[None], bands).merit_db[0], rel=1e-9)
