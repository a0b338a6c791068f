"""Response of a room from sources to receivers by its modes, with the losses that couple them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from seatfield.acoustics.boundary import Losses, surface_admittance
from seatfield.acoustics.exchange import find_ports, port_flow
from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.merit import Complex
from seatfield.acoustics.modes import RoomModes, base_pressure, order_pressure


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
    floor and ceiling; each then has its own A, exact for walls that are alike from floor to ceiling. What strong
    patches of partial height, such as an open door or a sofa, exchange between them is added exactly; that of weak
    ones, below an admittance of 0.05, is left out. Orders that cannot travel keep each mode's own loss only. What a
    source gains from nearby walls is in the sum.
    """
    start = np.atleast_2d(np.asarray(sources, dtype=float))
    end = np.atleast_2d(np.asarray(receivers, dtype=float))
    k = 2 * np.pi * np.asarray(freq_hz, dtype=float) / modes.speed_of_sound_m_s * doubt.size
    beta = surface_admittance(losses, freq_hz, doubt.absorption)
    ports = find_ports(losses)
    vertical, turn = _vertical(modes, losses, k, beta)
    driven = np.concatenate([base_pressure(modes, end).T, *(port.along for port in ports)], axis=1)
    answers = np.empty((len(modes.order_k), len(k), *driven.shape), dtype=complex)
    for order, answer in enumerate(answers):
        parts = _Order(vertical[:, order], turn[..., order], beta)
        answer[:] = _amplitudes(modes, losses, driven, k, parts)
    at_end = (order_pressure(modes, end[:, 2]) @ turn).transpose(2, 0, 1)
    fields = answers[..., : len(end)] * at_end[:, :, None]
    if ports:
        strength = np.stack([1j * k * beta[losses.patch == port.number].sum(axis=0) for port in ports])
        fields = fields - port_flow(ports, strength, turn, at_end, answers)
    return _heard(modes, fields, start, turn) * (4 * np.pi / doubt.size)


def _heard(modes: RoomModes, fields: Complex, start: Floats, turn: Complex) -> Complex:
    """Return the pressure at points of fields given by order, frequency, base mode and receiver."""
    height, group = np.unique(start[:, 2] if modes.height_m else np.zeros(len(start)), return_inverse=True)
    at_start = (order_pressure(modes, height) @ turn).transpose(2, 0, 1)
    base = base_pressure(modes, start)
    _, spectrum, bases, receivers = fields.shape
    result = np.empty((len(start), receivers, spectrum), dtype=complex)
    for level in range(len(height)):
        total = (at_start[:, :, level, None, None] * fields).sum(axis=0)
        real = np.ascontiguousarray(total.transpose(1, 2, 0)).reshape(bases, -1).view(float)
        own = group == level
        result[own] = (base[own] @ real).view(complex).reshape(-1, receivers, spectrum)
    return result


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


def _amplitudes(modes: RoomModes, losses: Losses, driven: Floats, k: Floats, order: _Order) -> Complex:
    """Return the amplitude of each base mode in one height order, shape (frequencies, bases, driven)."""
    stiffness = modes.base_k[:, None] ** 2 + order.square - k**2
    sides = ~losses.level & (losses.patch < 0)
    share = ((order.cosines @ losses.heights[sides]) * order.cosines).sum(axis=2).T
    weight = 1j * order.beta[sides].T * k[:, None] * share
    matrices = losses.matrices[sides]
    if order.square.real.min() > k.max() ** 2:
        own = weight @ np.diagonal(matrices, axis1=1, axis2=2)
        return np.asarray(driven / (stiffness.T + own)[..., None])
    flat = matrices.reshape(len(matrices), -1)
    matrix = np.empty((len(k), flat.shape[1]), dtype=complex)
    matrix.real, matrix.imag = weight.real @ flat, weight.imag @ flat  # the matrices stay real
    matrix = matrix.reshape(len(k), *matrices.shape[1:])
    diagonal = np.arange(len(modes.base_k))
    matrix[:, diagonal, diagonal] += stiffness.T
    return np.linalg.solve(matrix, driven.astype(complex)[None])
