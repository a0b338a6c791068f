"""The array types that this engine takes and returns."""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Vector: TypeAlias = NDArray[np.float64]
"""Real samples or values, one dimension unless a docstring says otherwise."""

Spectrum: TypeAlias = NDArray[np.complex128]
"""Complex values over frequency."""


def frozen(values: Vector) -> Vector:
    """Return the array as float64 that can no longer be written.

    Parameters
    ----------
    values : ndarray
        Any real array; it is copied only where its type or its ownership asks for it. [any]

    Returns
    -------
    ndarray
        The same numbers, read-only. [any]
    """
    held = np.array(values, dtype=np.float64)
    held.setflags(write=False)
    return held


def bin_frequencies(count: int, sample_rate_hz: float) -> Vector:
    """Return the frequencies of a real transform's bins.

    Parameters
    ----------
    count : int
        Samples that are transformed.
    sample_rate_hz : float
        Their rate. [Hz]

    Returns
    -------
    ndarray, shape (count // 2 + 1,)
        From 0 to half the rate. [Hz]
    """
    return np.arange(count // 2 + 1, dtype=np.float64) * (sample_rate_hz / count)
