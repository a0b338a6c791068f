"""What measuring refuses, told as one kind of refusal that also passes from one process to another."""

from collections.abc import Iterator
from contextlib import contextmanager

from seatfield.pipeline.beside import WorkRefusedError


@contextmanager
def refusals_told() -> Iterator[None]:
    """Turn every refusal of measuring into a `WorkRefusedError` of the same sentence.

    Raises
    ------
    seatfield.pipeline.beside.WorkRefusedError
        If what is done inside refuses.
    """
    from seatfield.capture import DeviceFailedError, NoSoundLibraryError, NoSuchDeviceError
    from seatfield.pipeline.measuring import NotMeasurableError
    from seatfield.pipeline.spots import NoSuchSpotError
    from seatfield.pipeline.values import NoSuchValuesError, ValuesRefusedError
    from seatfield.stages.takes import NoSuchChirpsError
    from seatfield.units import QuantityError

    of_words = (NoSuchSpotError, QuantityError, NoSuchChirpsError)
    refusals = (NotMeasurableError, ValuesRefusedError, NoSuchValuesError, *of_words)
    of_devices = (DeviceFailedError, NoSoundLibraryError, NoSuchDeviceError)
    try:
        yield
    except (*refusals, *of_devices) as refused:
        raise WorkRefusedError(str(refused)) from refused
