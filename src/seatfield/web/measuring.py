"""The JSON API of measuring: what to play, recordings, takes, settings, practice."""

from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Body, Path, Query
from starlette.responses import Response

from seatfield.pipeline.gauge import Sound, Sweeps
from seatfield.pipeline.staging import Waiting
from seatfield.web.bodies import Playing, Rehearsal, Share, TakeSent
from seatfield.web.replies import Plain
from seatfield.web.routes import Work

router = APIRouter(prefix="/api", default_response_class=Plain)
FileName = Annotated[str, Query(min_length=1, max_length=200)]
DeviceName = Annotated[str, Query(min_length=1, max_length=300)]


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


@router.get("/sweeps", responses={200: {"model": Sweeps}})
def sweeps(bench: Work) -> Response:
    """Say what to play, in which order, and how it gets to each loudspeaker."""
    return Plain(bench.gauge.sweeps())


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


@router.get("/takes")
def takes(bench: Work) -> Response:
    """Say what the kept takes say: arrivals, polarities, levels, faults."""
    return Plain(bench.gauge.takes())


@router.post("/takes")
def take(bench: Work, asked: TakeSent) -> Response:
    """Read recordings that wait, and keep them if any of their sweeps can be used."""
    return Plain(bench.gauge.keep(asked.wanted(), at=_now()))


@router.get("/alignment")
def alignment(bench: Work, *, all_seats: bool = False) -> Response:
    """Say what to type into the amplifier, and what each seat gains."""
    return Plain(bench.gauge.alignment(all_seats=all_seats))


@router.post("/alignment/typed")
def typed(bench: Work, asked: Share) -> Response:
    """Note that these values are typed into the amplifier."""
    return Plain(bench.gauge.alignment(all_seats=asked.all_seats, typed_at=_now()))


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
