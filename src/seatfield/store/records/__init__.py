"""Records: the project file's own shape, strict, each translating itself into the model.

pydantic stays in this folder and in `store.door`.
"""

from seatfield.store.records.everyday import nearest_key, nearest_of
from seatfield.store.records.kinds import MOST_TABLES, Record, Written
from seatfield.store.records.kit import TAGGED
from seatfield.store.records.numbering import corner_letter, corner_number, wall_number
from seatfield.store.records.project import FORMAT, ProjectRecord

__all__ = [
    "FORMAT",
    "MOST_TABLES",
    "TAGGED",
    "ProjectRecord",
    "Record",
    "Written",
    "corner_letter",
    "corner_number",
    "nearest_key",
    "nearest_of",
    "wall_number",
]
