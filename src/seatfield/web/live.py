"""The live socket: computes what follows the hand, newest request first, and tells of new revisions."""

import asyncio
import logging
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from fastapi import WebSocket, WebSocketDisconnect
from pydantic import TypeAdapter, ValidationError

from seatfield.pipeline.bench import Bench
from seatfield.pipeline.commands import change_of
from seatfield.pipeline.following import following
from seatfield.pipeline.screens import moving_scene, pieces_of
from seatfield.pipeline.session import Revision
from seatfield.web.bodies import Following
from seatfield.web.frames import flat_pieces, frame
from seatfield.web.replies import REFUSED, defect_sentence, misformed_sentence, refusal_of

_REQUEST = TypeAdapter(Following)
Newest = asyncio.Queue[str]
Answers = Callable[[Bench, str], bytes]
NOTHING_DRAWN: dict[str, Any] = {"pieces": []}
OUTLINE = frozenset({"room", "wall", "opening"})
"""Tables of the file whose change alters the measures outside the walls."""


class Hub:
    """The open sockets, and what they are told."""

    def __init__(self, bench: Bench) -> None:
        self._queues: set[asyncio.Queue[bytes]] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        bench.session.listen(self._on_revision)
        bench.watch(self._on_stage)

    def open(self) -> asyncio.Queue[bytes]:
        """Return a queue that receives what all are told."""
        self._loop = asyncio.get_running_loop()
        queue: asyncio.Queue[bytes] = asyncio.Queue()
        self._queues.add(queue)
        return queue

    def shut(self, queue: asyncio.Queue[bytes]) -> None:
        """Forget a queue."""
        self._queues.discard(queue)

    def _on_revision(self, revision: Revision) -> None:
        self._tell({"kind": "revision", "revision": revision.number, "why": revision.why})

    def _on_stage(self, stage: str) -> None:
        self._tell({"kind": "progress", "stage": stage})

    def _tell(self, head: dict[str, Any]) -> None:
        """Tell all, from whatever thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._put, frame(head))

    def _put(self, told: bytes) -> None:
        for queue in self._queues:
            queue.put_nowait(told)


async def serve_socket(socket: WebSocket, bench: Bench, hub: Hub) -> None:
    """Serve one socket until it closes."""
    await socket.accept()
    told = hub.open()
    newest: Newest = asyncio.Queue(maxsize=1)
    newest_bass: Newest = asyncio.Queue(maxsize=1)
    tasks = [
        asyncio.create_task(work)
        for work in (
            _read(socket, (newest, newest_bass)),
            _answer(bench, newest, told, answer),
            _answer(bench, newest_bass, told, answer_bass),
            _send(socket, told),
        )
    ]
    with suppress(WebSocketDisconnect, asyncio.CancelledError, RuntimeError):
        done, _ = await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        for task in done:
            task.result()
    hub.shut(told)
    for task in tasks:
        task.cancel()


async def _read(socket: WebSocket, waiting: tuple[Newest, ...]) -> None:
    """Keep the newest request only: what the hand has left behind needs no answer."""
    while True:
        text = await socket.receive_text()
        for newest in waiting:
            while not newest.empty():
                newest.get_nowait()
            newest.put_nowait(text)


async def _answer(bench: Bench, newest: Newest, told: asyncio.Queue[bytes], answers: Answers) -> None:
    while True:
        text = await newest.get()
        made = await asyncio.to_thread(answers, bench, text)
        if made:
            told.put_nowait(made)


async def _send(socket: WebSocket, told: asyncio.Queue[bytes]) -> None:
    while True:
        await socket.send_bytes(await told.get())


def answer(bench: Bench, text: str) -> bytes:
    """Compute the answer to one request of the hand."""
    try:
        asked = _REQUEST.validate_json(text)
    except ValidationError as error:
        return frame({"kind": "refused", "seq": 0, "sentence": misformed_sentence(error.errors())})
    try:
        return _followed(bench, asked)
    except Exception as refused:
        found = refusal_of(refused)
        if found is None:
            logging.getLogger("uvicorn.error").exception("The hand could not be followed.")
        body = found[1] if found else {"sentence": defect_sentence(refused)}
        return frame({"kind": "refused", "seq": asked.seq} | body)


def answer_bass(bench: Bench, text: str) -> bytes:
    """Compute the bass of one request of the hand; empty where none is shown, or `answer` tells the refusal."""
    with suppress(ValidationError, *REFUSED):
        asked = _REQUEST.validate_json(text)
        if asked.hears:
            heard = bench.hear_along(
                change_of(asked.commands), asked.look.drawn(), asked.curves_mm, base=asked.base
            )
            scene, points = flat_pieces(heard.field or NOTHING_DRAWN)
            head = {"kind": "heard", "seq": asked.seq, "words": heard.words, "curves": heard.curves}
            return frame(head | {"field": scene if heard.field else None}, points)
    return b""


def _followed(bench: Bench, asked: Following) -> bytes:
    project, plan = bench.session.preview(change_of(asked.commands), base=asked.base)
    measures = asked.key.partition("[")[0].partition(".")[0].partition(":")[0] in OUTLINE
    scene, points = flat_pieces(pieces_of(moving_scene(project, plan, asked.look.drawn(), measures=measures)))
    head = {"kind": "followed", "seq": asked.seq, "following": following(project, plan, asked.key)}
    return frame(head | {"scene": scene}, points)
