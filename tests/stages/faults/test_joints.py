"""Joints told from trims and rooms, with impedances drawn otherwise than the program draws them.

The loss of a resistance R before an impedance Z is Ohm's law: 20 lg |1 + R/Z|. Rooms are random colours as wide as the
first sounds in rooms of a general library were (see the module's constants).
"""

import numpy as np
import pytest

from seatfield.model import LoudspeakerModel
from seatfield.stages.faults.joints import losses
from seatfield.stages.faults.known import Plan, RunKnown
from seatfield.stages.faults.treble import THIRDS, Colour

SEED = 20311205  # fixed before the limits were chosen
HZ = np.array([one.mid_hz for one in THIRDS])
MODEL = LoudspeakerModel(
    "box", impedance_ohm=8.0, lowest_impedance_ohm=5.5, highest_impedance_ohm=28.0, low_corner_hz=60.0,
    driver_crossover_hz=2400.0,
)  # fmt: skip
RUNS = ("M+030", "M-030")


def plan():
    return Plan(
        tuple(RunKnown(run, run, MODEL, (0.0, 0.0, 1.0), "receiver", run) for run in RUNS), (), 343.0, 80.0
    )


def impedance(rng):
    """Bass resonance, one below the crossover, and a coil's inductance; none as the program draws them."""

    def resonance(at_hz, q):
        return 1 / (1 + 1j * q * (HZ / at_hz - at_hz / HZ))

    rise = 22.5
    return (
        5.5
        + rise * resonance(60 * rng.uniform(0.8, 1.2), rng.uniform(2, 5))
        + rng.uniform(0.3, 0.9) * rise * resonance(2400 * rng.uniform(0.5, 0.9), rng.uniform(0.6, 1.6))
        + 2j * np.pi * HZ * rng.uniform(0, 1.5e-4)
    )


def colour(rng, loss_db=0.0):
    spread = np.interp(np.log2(HZ), np.log2([1000, 2000, 4000]), [2.4, 1.4, 0.8]) / np.sqrt(2)
    apart = np.abs(np.log2(HZ)[:, None] - np.log2(HZ)[None, :])
    room = rng.multivariate_normal(np.zeros(len(HZ)), np.outer(spread, spread) * np.exp(-apart / 0.4))
    return Colour(room - loss_db, np.zeros(len(HZ), dtype=bool), 4)


def told(rng, loss_db):
    return losses(plan(), {"M+030": colour(rng), "M-030": colour(rng, loss_db)}, {})["M-030"]


def test_joints_are_named_or_asked_for_and_sound_runs_are_not_named():
    rng = np.random.default_rng(SEED)
    joints = [told(rng, 20 * np.log10(np.abs(1 + 6.0 / impedance(rng)))) for _ in range(100)]
    sound = [told(rng, 0.0) for _ in range(200)]
    assert sum(one.clear for one in joints) >= 80
    assert all(one.worth_a_look for one in joints)
    assert sum(one.clear for one in sound) <= 1


def test_a_trim_of_six_decibels_is_mostly_a_question_and_always_worth_a_look():
    rng = np.random.default_rng(SEED + 1)
    trims = [told(rng, 6.0) for _ in range(100)]
    assert sum(one.clear for one in trims) <= 25
    assert all(one.worth_a_look for one in trims)


def test_the_resistance_is_found_to_a_third():
    rng = np.random.default_rng(SEED + 2)
    found = [told(rng, 20 * np.log10(np.abs(1 + 5.0 / impedance(rng)))).ohm for _ in range(100)]
    assert np.median(found) == pytest.approx(5.0, rel=0.33)


def test_what_noise_hides_does_not_count():
    rng = np.random.default_rng(SEED + 3)
    deaf = Colour(np.full(len(HZ), -60.0), np.ones(len(HZ), dtype=bool), 4)
    assert not losses(plan(), {"M+030": colour(rng), "M-030": deaf}, {})["M-030"].clear


def three(rng, *loss_db):
    """Three loudspeakers of one model, each with a loss."""
    runs = ("M+030", "M-030", "M+000")
    known = Plan(
        tuple(RunKnown(run, run, MODEL, (0.0, 0.0, 1.0), "receiver", run) for run in runs), (), 343.0, 80.0
    )
    return losses(known, {run: colour(rng, lost_db) for run, lost_db in zip(runs, loss_db, strict=True)}, {})


def test_the_same_joint_on_both_sides_shows_against_the_third_of_the_model():
    rng, named = np.random.default_rng(SEED + 4), 0
    for _ in range(50):
        bad = 20 * np.log10(np.abs(1 + 7.0 / impedance(rng)))
        found = three(rng, bad, bad, 0.0)
        assert not found["M+000"].clear
        named += found["M+030"].clear + found["M-030"].clear
    assert named >= 70  # of 100


def test_of_two_peers_the_one_with_a_joint_does_not_hide_another():
    rng, named = np.random.default_rng(SEED + 5), 0
    for _ in range(50):
        bad = 20 * np.log10(np.abs(1 + 7.0 / impedance(rng)))
        found = three(rng, bad, 0.0, bad)
        assert not found["M-030"].clear
        named += found["M+030"].clear + found["M+000"].clear
    assert named >= 80  # of 100
