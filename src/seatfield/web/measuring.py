"""The JSON API of measuring: what to play, recordings, takes, settings, practice."""

from datetime import datetime
from mimetypes import guess_type
from typing import Annotated

from fastapi import APIRouter, Body, Depends, Path, Query
from starlette.responses import Response, StreamingResponse

from seatfield.pipeline.gauge import Sound, Sweeps
from seatfield.pipeline.staging import MicrophoneFile, Waiting
from seatfield.web.bodies import Playing, Rehearsal, SweepsSent, TakeSent, Wished
from seatfield.web.replies import Plain
from seatfield.web.routes import Work

router = APIRouter(prefix="/api", default_response_class=Plain)
FileName = Annotated[str, Query(min_length=1, max_length=200)]
ValueFile = Annotated[str, Path(min_length=1, max_length=200)]
Table = Annotated[str, Query(min_length=1, max_length=8000)]
DeviceName = Annotated[str, Query(min_length=1, max_length=300)]


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


@router.get("/sweeps", responses={200: {"model": Sweeps}})
def sweeps(bench: Work) -> Response:
    """Say what to play, in which order, and how it gets to each loudspeaker."""
    return Plain(bench.gauge.sweeps())


@router.post("/sweeps", responses={200: {"model": Sweeps}})
def choose_sweeps(bench: Work, asked: SweepsSent) -> Response:
    """Play other sweeps from now on; recordings of the earlier ones are still read."""
    return Plain(bench.gauge.choose_sweeps(asked.wanted(), at=_now()))


@router.get("/sweeps/sheet.txt", response_class=Response)
def sheet(bench: Work) -> Response:
    """Say on one sheet what to play and record, and how it gets to each loudspeaker."""
    return Response(bench.gauge.sweep_sheet(), media_type="text/plain; charset=utf-8")


@router.get("/sweeps/all.wav", response_class=Response)
def all_sweeps(bench: Work) -> Response:
    """Return one sound file that holds the bursts and every sweep, in their order."""
    length, parts = bench.gauge.all_sweeps_wave()
    return StreamingResponse(parts, media_type="audio/wav", headers={"content-length": str(length)})


@router.get("/sweeps/{number}.wav", response_class=Response)
def sweep(bench: Work, number: Annotated[int, Path(ge=0, le=1000)]) -> Response:
    """Return the sound file of one sweep; number 0 holds the bursts by which the volume is set."""
    return Response(bench.gauge.sweep_wave(number), media_type="audio/wav")


@router.put("/recordings", responses={200: {"model": Waiting}})
def put_recording(
    bench: Work, name: FileName, content: Annotated[bytes, Body(media_type="application/octet-stream")]
) -> Response:
    """Send a recording, which then waits to be read."""
    return Plain(bench.gauge.put(name, content))


@router.put("/microphone-file", responses={200: {"model": MicrophoneFile}})
def put_microphone_file(
    bench: Work, name: FileName, content: Annotated[bytes, Body(media_type="application/octet-stream")]
) -> Response:
    """Send the file that came with a microphone, which then waits for takes to be read with it."""
    return Plain(bench.gauge.put_microphone(name, content))


@router.get("/takes")
def takes(bench: Work) -> Response:
    """Say what the kept takes say: arrivals, polarities, levels, faults."""
    return Plain(bench.gauge.takes())


@router.post("/takes")
def take(bench: Work, asked: TakeSent) -> Response:
    """Read recordings that wait, and keep them if any of their sweeps can be used."""
    return Plain(bench.gauge.keep(asked.wanted(), at=_now()))


@router.get("/alignment")
def alignment(bench: Work, asked: Annotated[Wished, Depends()], *, with_room: bool = False) -> Response:
    """Say what to type into the amplifier, and what each seat gains."""
    return Plain(bench.gauge.alignment(asked.wishes(), with_room=with_room))


@router.post("/alignment/typed")
def typed(bench: Work, asked: Wished) -> Response:
    """Note that these values are typed into the amplifier."""
    return Plain(bench.gauge.alignment(asked.wishes(), typed_at=_now()))


@router.get("/alignment/judged")
def judged(bench: Work, values: Table, asked: Annotated[Wished, Depends()]) -> Response:
    """Judge what another calibration arrived at, line by line; nothing of it is kept."""
    return Plain(bench.gauge.judged(values, asked.wishes()))


@router.get("/alignment/files/{name}", response_class=Response)
def value_file(bench: Work, name: ValueFile, asked: Annotated[Wished, Depends()]) -> Response:
    """Return one of the files that the alignment names; it is made now and lies nowhere."""
    content = bench.gauge.value_file(name, asked.wishes())
    return Response(content, media_type=guess_type(name)[0] or "application/octet-stream")


@router.post("/practice")
def practice(bench: Work, asked: Rehearsal) -> Response:
    """Rehearse a measurement in this room, with faults hidden by chance; nothing of it is kept."""
    return Plain(bench.gauge.practise(seed=asked.seed, faults=asked.faults, positions=asked.positions))


@router.get("/sound", responses={200: {"model": Sound}})
def sound(bench: Work) -> Response:
    """List the sound devices of this machine."""
    return Plain(bench.gauge.sound())


@router.get("/sound/level")
def level(bench: Work, source: DeviceName) -> Response:
    """Return how loud a device has heard since it was asked last."""
    return Plain(bench.gauge.level(source))


@router.post("/sound/recording")
def record(bench: Work, asked: Playing) -> Response:
    """Play a sweep through a device of this machine and keep what was recorded meanwhile, to be read."""
    return Plain(bench.gauge.record(asked.output, asked.source, asked.channels, asked.run))
