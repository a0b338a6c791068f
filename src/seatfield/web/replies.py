"""Answers: plain JSON, and every refusal as a sentence with its status."""

import json
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response

from seatfield.pipeline import ProjectFaultsError, encode, encode_faults
from seatfield.pipeline.bench import UnknownFindingError
from seatfield.pipeline.beside import WorkFailedError, WorkRefusedError, WorkStoppedError
from seatfield.pipeline.places_in_file import CommandRefusedError
from seatfield.pipeline.printing import NotWrittenError
from seatfield.pipeline.rebasing import NoLongerFitsError
from seatfield.pipeline.session import NothingToTakeBackError, ReadOnlyError, UnknownRevisionError
from seatfield.pipeline.sinks import SinkRefusedError
from seatfield.pipeline.staging import NoMicrophoneFileError, NoRecordingError, NotWaitingError
from seatfield.store import EditRefusedError, FileChangedError
from seatfield.web.folder import NoSuchFileError, NotAPictureError

STATUS: dict[type[Exception], int] = {
    CommandRefusedError: 422,
    EditRefusedError: 422,
    NotAPictureError: 415,
    ReadOnlyError: 403,
    UnknownRevisionError: 404,
    UnknownFindingError: 404,
    NoSuchFileError: 404,
    NothingToTakeBackError: 409,
    FileChangedError: 409,
    WorkStoppedError: 409,
    WorkFailedError: 503,
    WorkRefusedError: 422,
    NotWrittenError: 507,
    NotWaitingError: 404,
    NoRecordingError: 415,
    NoMicrophoneFileError: 415,
    SinkRefusedError: 415,
}


REFUSED: tuple[type[Exception], ...] = (*STATUS, ProjectFaultsError, NoLongerFitsError)
"""Everything that is told as a refusal, and is no defect."""


class Plain(Response):
    """A result as JSON in ASCII, which carries any text."""

    media_type = "application/json"

    def render(self, content: Any) -> bytes:
        """Encode the result."""
        return json.dumps(encode(content), separators=(",", ":")).encode("ascii")


def refusal_of(refused: Exception) -> tuple[int, dict[str, Any]] | None:
    """Return status and body for a refusal; None where the exception is none."""
    if isinstance(refused, ProjectFaultsError):
        return 422, {"sentence": str(refused)} | encode_faults(refused.faults)
    if isinstance(refused, NoLongerFitsError):
        return 409, {"sentence": str(refused), "key": refused.key, "was": refused.was, "now": refused.now}
    for kind in type(refused).__mro__:
        if kind in STATUS:
            return STATUS[kind], {"sentence": str(refused)}
    return None


def answer_refusals(app: FastAPI) -> None:
    """Make the application answer every refusal with its sentence."""

    def refuse(_request: Request, refused: Exception) -> Response:
        found = refusal_of(refused)
        assert found is not None
        return Plain(found[1], found[0])

    for kind in REFUSED:
        app.add_exception_handler(kind, refuse)

    @app.exception_handler(Exception)
    def defect(_request: Request, error: Exception) -> Response:
        return Plain({"sentence": defect_sentence(error)}, 500)

    @app.exception_handler(RequestValidationError)
    def misformed(_request: Request, error: RequestValidationError) -> Response:
        return Plain({"sentence": misformed_sentence(error.errors())}, 422)

    @app.exception_handler(HTTPException)
    def missing(_request: Request, error: HTTPException) -> Response:
        return Plain({"sentence": f"{error.detail}."}, error.status_code)


def defect_sentence(error: Exception) -> str:
    """Say that the program failed, not the person."""
    return (
        f"Seatfield failed ({type(error).__name__}). This is a defect of the program, not of your file, and nothing "
        "was changed. The terminal in which it runs says more."
    )


def misformed_sentence(errors: Any) -> str:
    """Say what is wrong with a request."""
    told = [f"{'.'.join(map(str, error['loc']))}: {error['msg']}" for error in list(errors)[:5]]
    return "This request is not as the API describes it: " + "; ".join(told) + "."
