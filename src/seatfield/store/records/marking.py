"""The marking on a cable, with the cross-section that its gauge stands for."""

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import PlainValidator

from seatfield.catalogue.conductors import gauge_area_mm2
from seatfield.store.records.kinds import wanted
from seatfield.units import (
    CONDUCTOR_WANTED,
    AmbiguousQuantityError,
    Conductor,
    QuantityError,
    parse_conductor,
)


@dataclass(frozen=True, slots=True)
class Marking:
    """A conductor's marking and its nominal cross-section [mm²]."""

    conductor: Conductor
    area_mm2: float

    @property
    def cores(self) -> int | None:
        """Conductors in one cable, where the marking says."""
        return self.conductor.cores

    def __str__(self) -> str:
        return str(self.conductor)


def _read(value: Any) -> Marking:
    if not isinstance(value, str):
        raise wanted(f"{CONDUCTOR_WANTED}, in quotes")
    try:
        conductor = parse_conductor(value)
    except AmbiguousQuantityError as error:
        raise wanted(f"{error.wanted}; as it stands it can be read either way") from None
    except QuantityError as error:
        raise wanted(error.wanted) from None
    area_mm2 = conductor.area_mm2
    return Marking(conductor, gauge_area_mm2(conductor.awg or 0) if area_mm2 is None else area_mm2)


ConductorMark = Annotated[Marking, PlainValidator(_read, json_schema_input_type=str)]
