"""Response of a room from sources to receivers by its modes, with the losses that couple them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from seatfield.acoustics.boundary import Losses, surface_admittance
from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.modes import RoomModes, base_pressure, order_pressure

Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class Doubt:
    """One way in which the room may differ from what is known of it.

    Attributes
    ----------
    absorption
        Multiplies the admittance of every surface that is not certain [1].
    size
        Multiplies every length of the room [1].
    """

    absorption: float = 1.0
    size: float = 1.0


KNOWN = Doubt()


def transfer(
    modes: RoomModes,
    losses: Losses,
    sources: ArrayLike,
    receivers: ArrayLike,
    freq_hz: ArrayLike,
    doubt: Doubt = KNOWN,
) -> Complex:
    """Return the pressure at receivers from sources of constant volume acceleration.

    Parameters
    ----------
    modes
        The room's modes, best enriched at the receivers.
    losses
        The boundary as these modes feel it.
    sources, receivers
        Positions, shape (sources, 3) and (receivers, 3) [m].
    freq_hz
        Frequencies, shape (frequencies,) [Hz].
    doubt
        How the room differs from the description.

    Returns
    -------
    array
        Complex pressure over that of the same source at 1 m in free space without its travel time, shape (sources,
        receivers, frequencies) [1]. Time goes as exp(+iωt), so a delay τ multiplies by exp(−iωτ).

    Notes
    -----
    p = 4π Σ φ(source) A⁻¹ φ(receiver) with A = diag(k_m²) − k² + ik Σ β_s B_s, where B_s holds the integrals of
    products of modes over surface s: losses couple the modes, which uneven absorption makes audible. Under a flat
    ceiling the height cosines are first turned, at each frequency, into the functions that meet the admittances of
    floor and ceiling; each then has its own A, exact for walls that are alike from floor to ceiling. What a patch of
    partial height or a sheet of furniture exchanges between height orders is left out, and orders that cannot travel
    keep each mode's own loss only. What a source gains from nearby walls is in the sum.
    """
    start = np.atleast_2d(np.asarray(sources, dtype=float))
    end = np.atleast_2d(np.asarray(receivers, dtype=float))
    k = 2 * np.pi * np.asarray(freq_hz, dtype=float) / modes.speed_of_sound_m_s * doubt.size
    beta = surface_admittance(losses, freq_hz, doubt.absorption)
    vertical, turn = _vertical(modes, losses, k, beta)
    at_end = order_pressure(modes, end[:, 2]) @ turn
    height, group = np.unique(
        start[:, 2] if modes.height_m is not None else np.zeros(len(start)), return_inverse=True
    )
    at_start = order_pressure(modes, height) @ turn
    total = np.zeros((len(height), len(modes.base_k), len(end), len(k)), dtype=complex)
    excited = base_pressure(modes, end).T
    for order in range(len(modes.order_k)):
        amplitude = _amplitudes(modes, losses, excited, k, _Order(vertical[:, order], turn[..., order], beta))
        total += amplitude * (at_start[:, :, order].T[:, None, None] * at_end[:, :, order].T[None, None])
    base = base_pressure(modes, start)
    result: Complex = np.empty((len(start), len(end), len(k)), dtype=complex)
    for level, field in enumerate(total):
        own = group == level
        result[own] = (
            (base[own] @ field.reshape(len(field), -1).view(float))
            .view(complex)
            .reshape(-1, len(end), len(k))
        )
    return result * (4 * np.pi / doubt.size)


def _vertical(modes: RoomModes, losses: Losses, k: Floats, beta: Floats) -> tuple[Complex, Complex]:
    """Return, at each frequency, squared wave numbers in z between floor and ceiling, and functions in cosines."""
    ends = np.einsum("sf,sab->fab", beta[losses.level] * k, losses.heights[losses.level])
    square, turn = np.linalg.eig(np.diag(modes.order_k**2) + 1j * ends)
    rank = np.argsort(square.real, axis=1)
    square, turn = np.take_along_axis(square, rank, axis=1), np.take_along_axis(turn, rank[:, None], axis=2)
    return square, turn / np.sqrt((turn**2).sum(axis=1, keepdims=True))


@dataclass(frozen=True, slots=True)
class _Order:
    """One function of the height at each frequency, and the surfaces' admittances."""

    square: Complex
    cosines: Complex
    beta: Floats


def _amplitudes(modes: RoomModes, losses: Losses, excited: Floats, k: Floats, order: _Order) -> Complex:
    """Return the amplitude of each base mode in one height order, shape (bases, receivers, frequencies)."""
    stiffness = modes.base_k[:, None] ** 2 + order.square - k**2
    sides = ~losses.level
    share = np.einsum("fa,sab,fb->fs", order.cosines, losses.heights[sides], order.cosines, optimize=True)
    weight = 1j * order.beta[sides].T * k[:, None] * share
    matrices = losses.matrices[sides]
    if order.square.real.min() > k.max() ** 2:
        own = weight @ np.diagonal(matrices, axis1=1, axis2=2)
        return np.asarray(excited[..., None] / (stiffness + own.T)[:, None])
    matrix = (weight @ matrices.reshape(len(matrices), -1)).reshape(len(k), *matrices.shape[1:])
    diagonal = np.arange(len(modes.base_k))
    matrix[:, diagonal, diagonal] += stiffness.T
    return np.linalg.solve(matrix, excited[None].astype(complex)).transpose(1, 2, 0)
