"""Polarity: which channels are inverted, when the microphone's own polarity is not certain either."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log

from seatfield.stages.takes import Spot

CHAIN_INVERTED, CHANNEL_INVERTED = 0.1, 0.04
"""How often a microphone's chain, and a channel, is inverted before anything is heard: common practice, no source."""
UNANIMOUS, MOST = 0.97, 0.995
"""A reading without a vote against errs less often than its confidence says: in none of 1600 in simulated rooms."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One channel's sign as heard: mean of its readings' log odds for inverted, and how many readings there are."""

    log_odds: float
    readings: int


@dataclass(frozen=True, slots=True)
class Signs:
    """Chance that each channel, and that the microphone's chain, is inverted."""

    inverted: Mapping[str, float]
    chain: float
    heard: Mapping[str, Sign]


def signs(spots: Sequence[Spot]) -> Signs:
    """Return the chance that each channel is inverted.

    Parameters
    ----------
    spots
        Positions with the amplifier bare.

    Returns
    -------
    Signs
        Two explanations are weighed: a microphone whose chain is right, and one that turns everything.

    Notes
    -----
    Readings of one channel at several positions are not independent, so their log odds are averaged, not added. Where
    everything reads inverted, the chain is the likelier culprit; nobody can tell the two apart.
    """
    heard = {run: _sign(spots, run) for run in dict.fromkeys(one.run for spot in spots for one in spot.heard)}
    told = {run: sign for run, sign in heard.items() if sign.readings}
    if not told:
        return Signs({}, CHAIN_INVERTED, {})
    right = sum(_evidence(sign.log_odds) for sign in told.values())
    turned = sum(_evidence(-sign.log_odds) for sign in told.values())
    chain = _chance(log(CHAIN_INVERTED / (1.0 - CHAIN_INVERTED)) + turned - right)
    return Signs(
        {
            run: (1.0 - chain) * _posterior(sign.log_odds) + chain * _posterior(-sign.log_odds)
            for run, sign in told.items()
        },
        chain,
        told,
    )


def _sign(spots: Sequence[Spot], run: str) -> Sign:
    odds = []
    for spot in spots:
        one = spot.of(run)
        if one is None or one.low or one.told.polarity == "unknown":
            continue
        confidence = min(one.told.polarity_confidence, MOST)
        confidence = MOST if confidence >= UNANIMOUS else confidence
        odds.append(log(confidence / (1.0 - confidence)) * (1.0 if one.told.polarity == "inverted" else -1.0))
    return Sign(sum(odds) / len(odds) if odds else 0.0, len(odds))


def _evidence(log_odds: float) -> float:
    """Return the log likelihood of a reading whose channel is inverted or not, before it is known which."""
    inverted = _chance(log_odds)
    return log(CHANNEL_INVERTED * inverted + (1.0 - CHANNEL_INVERTED) * (1.0 - inverted))


def _posterior(log_odds: float) -> float:
    return _chance(log_odds + log(CHANNEL_INVERTED / (1.0 - CHANNEL_INVERTED)))


def _chance(log_odds: float) -> float:
    return 1.0 / (1.0 + exp(-max(-50.0, min(50.0, log_odds))))
