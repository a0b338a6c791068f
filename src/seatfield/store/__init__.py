"""The store: the project's folder on disk, with its file and its log.

`open_folder` reads a project or tells every fault of its file; `edited` and `save` write it back with its comments
and order; `append_record` and `read_log` keep what happened.
"""

from seatfield.store.door import Opened, open_data, open_folder, open_text
from seatfield.store.edits import Append, Edit, EditRefusedError, Remove, Set, edited, edited_data
from seatfield.store.log import Entry, Log, append_record, log_file, read_log
from seatfield.store.paths import path_text, read_path
from seatfield.store.references import numbered_walls
from seatfield.store.saving import FileChangedError, FileExistsAlreadyError, create, save
from seatfield.store.schema import schema
from seatfield.store.starter import Answers, new_project
from seatfield.store.text import FILE_NAME

__all__ = [
    "FILE_NAME",
    "Answers",
    "Append",
    "Edit",
    "EditRefusedError",
    "Entry",
    "FileChangedError",
    "FileExistsAlreadyError",
    "Log",
    "Opened",
    "Remove",
    "Set",
    "append_record",
    "create",
    "edited",
    "edited_data",
    "log_file",
    "new_project",
    "numbered_walls",
    "open_data",
    "open_folder",
    "open_text",
    "path_text",
    "read_log",
    "read_path",
    "save",
    "schema",
]
