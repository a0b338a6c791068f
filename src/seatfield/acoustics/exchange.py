"""What strong patches of partial height exchange between height orders, by a small system at each frequency."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from seatfield.acoustics.boundary import Losses
from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.merit import Complex

_SMALL = 1e-2  # share of its largest eigenvalue below which a part of a patch is left out


@dataclass(frozen=True, slots=True)
class Port:
    """A strong patch as a sum of squares, of vectors over the base modes times vectors over the height cosines.

    Attributes
    ----------
    along
        Vectors over the base modes, shape (bases, across).
    up
        Vectors over the height cosines, shape (orders, up).
    number
        The patch's number.
    """

    along: Floats
    up: Floats
    number: int


def find_ports(losses: Losses) -> list[Port]:
    """Take the strong patches apart."""
    ports = []
    for number in range(losses.patch.max(initial=-1) + 1):
        first = int(np.flatnonzero(losses.patch == number)[0])
        ports.append(Port(_roots(losses.matrices[first]), _roots(losses.heights[first]), number))
    return ports


def _roots(matrix: Floats) -> Floats:
    """Return vectors whose squares add up to a positive semi-definite matrix."""
    square, vectors = np.linalg.eigh(matrix)
    keep = square > _SMALL * square[-1]
    return np.asarray(vectors[:, keep] * np.sqrt(square[keep]))


def port_flow(
    ports: list[Port], strength: Complex, turn: Complex, receivers: Complex, answers: Complex
) -> Complex:
    """Return what the ports take from the answers to the receivers.

    Parameters
    ----------
    ports
        The patches.
    strength
        ikβ of each port, shape (ports, frequencies).
    turn
        Cosines in each order at each frequency, shape (frequencies, cosines, orders).
    receivers
        Each order's value at each receiver, shape (orders, frequencies, receivers).
    answers
        Field of each order for the receivers, then for the ports' vectors, as if there were no ports, shape (orders,
        frequencies, bases, receivers + vectors).

    Returns
    -------
    array
        Field to take away, shape (orders, frequencies, bases, receivers).

    Notes
    -----
    With A the operator without the patches and W D Wᵀ what they add,
    (A + W D Wᵀ)⁻¹ = A⁻¹ − A⁻¹ W (1 + D WᵀA⁻¹W)⁻¹ D WᵀA⁻¹ (M. A. Woodbury, 1950). W has few columns, so only a small
    system is solved at each frequency.
    """
    count = receivers.shape[2]
    heights = [(port.up.T @ turn).transpose(2, 0, 1) for port in ports]  # (orders, frequencies, up)
    vectors = np.concatenate([port.along for port in ports], axis=1).T
    at_ports = (vectors @ np.ascontiguousarray(answers).view(float)).view(complex)  # the vectors stay real
    ends = np.cumsum([0, *(port.along.shape[1] for port in ports)])
    parts = [slice(*pair) for pair in pairwise(ends.tolist())]
    pieces = list(zip(heights, parts, strict=True))
    system = np.block(
        [
            [_between(one, two, at_ports[:, :, here, count:][..., there]) for two, there in pieces]
            for one, here in pieces
        ]
    )
    source = np.concatenate(
        [_between(height, receivers, at_ports[:, :, here, :count], pairs=True) for height, here in pieces],
        axis=1,
    )
    sizes = [port.along.shape[1] * port.up.shape[1] for port in ports]
    factor = np.repeat(strength, sizes, axis=0).T[:, :, None]
    flow = np.linalg.solve(np.eye(system.shape[1]) + factor * system, factor * source)
    radiated = np.concatenate(
        [
            (part.reshape(len(part), -1, height.shape[2], count) * height[:, :, None, :, None]).sum(axis=3)
            for height, part in zip(heights, np.split(flow, np.cumsum(sizes)[:-1], axis=1), strict=True)
        ],
        axis=2,
    )
    return np.asarray(answers[..., count:] @ radiated)


def _between(one: Complex, two: Complex, answers: Complex, *, pairs: bool = False) -> Complex:
    """Return what the second ends cause at a port, shape (frequencies, across × up, ends).

    The ends are a port's across × up, or, in pairs, receivers that each have one height.
    """
    orders, spectrum, across, back = answers.shape
    if pairs:
        heard = [
            (one[..., :, None] * (two * answers[:, :, line])[..., None, :]).sum(axis=0)
            for line in range(across)
        ]
        return np.stack(heard, axis=1).reshape(spectrum, across * one.shape[2], back)
    up = (one[..., :, None] * two[..., None, :]).reshape(orders, spectrum, -1).transpose(1, 2, 0)
    both = up @ answers.reshape(orders, spectrum, -1).transpose(1, 0, 2)
    both = both.reshape(spectrum, one.shape[2], two.shape[2], across, back)
    return np.asarray(both.transpose(0, 3, 1, 4, 2).reshape(spectrum, across * one.shape[2], -1))
