"""What is wrong with a recording, as a value and in words."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing wrong with a recording.

    Attributes
    ----------
    kind : str
        Code: silent, quiet, clipped, gap, dropped-samples, wrong-rate, no-chirps, too-short, noisy, jump, no-sweep,
        bang, stereo.
    message : str
        What was found, what is allowed, what to do.
    stops : bool
        True where nothing further may be read from the recording.
    measured, limit : float
        What was found and what is allowed, in `unit`.
    unit : str
        Unit of both.
    at_s : float or None
        Place in the recording. [s]
    """

    kind: str
    message: str
    stops: bool
    measured: float
    limit: float
    unit: str
    at_s: float | None = None
