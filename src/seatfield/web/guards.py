"""Guards before every request: who may ask, how much they may send, and what the page may load."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

App = Any
Scope = dict[str, Any]

LARGEST_BODY_BYTES = 20_000_000
LARGEST_RECORDING_BYTES = 300_000_000
"""Half an hour of one channel, four minutes of eight, at 48 kHz and 24 bits."""
LARGEST = {
    "/api/recordings": LARGEST_RECORDING_BYTES,
    "/api/microphone-file": 1_000_000,
    "/api/sink-report": 1_000_000,
}
HEADERS = {
    "content-security-policy": (
        "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    ),
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "cache-control": "no-cache",
}
SAFE = {"GET", "HEAD", "OPTIONS"}


def own_hosts(port: int) -> frozenset[str]:
    """Return the names under which this server may be asked."""
    return frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]"))


@dataclass(frozen=True, slots=True)
class OwnHost:
    """Refuses requests that name another host, come from another site's page, or from a page of another origin.

    A page elsewhere can make a browser ask a server on this machine; its requests carry its own origin, and after a
    change of its name's address also its own host.
    """

    app: App
    hosts: frozenset[str]

    async def __call__(self, scope: Scope, receive: Any, send: Any) -> None:
        """Hand on what comes from this machine's own page, or from a program; refuse the rest."""
        if scope["type"] not in {"http", "websocket"}:
            await self.app(scope, receive, send)
            return
        headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
        if headers.get(b"host", "").lower() not in self.hosts:
            await _refuse(scope, send, 421, "This server answers to its own name only: open 127.0.0.1.")
        elif not self._own_origin(headers):
            await _refuse(scope, send, 403, "This request comes from another site's page and is refused.")
        else:
            await self.app(scope, receive, send)

    def _own_origin(self, headers: dict[bytes, str]) -> bool:
        origin = headers.get(b"origin")
        if origin is not None:
            return origin.partition("://")[2].lower() in self.hosts and origin.startswith("http:")
        return headers.get(b"sec-fetch-site", "none") in {"none", "same-origin"}


@dataclass(frozen=True, slots=True)
class BodyLimit:
    """Refuses bodies that are too large: at once where their length is told, else as soon as they exceed it."""

    app: App
    largest: int = LARGEST_BODY_BYTES
    of_path: Mapping[str, int] = field(default_factory=lambda: dict(LARGEST))

    async def __call__(self, scope: Scope, receive: Any, send: Any) -> None:
        """Hand on requests whose body is small enough."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        largest = self.of_path.get(scope["path"], self.largest)
        told = dict(scope["headers"]).get(b"content-length", b"0")
        if not told.isdigit() or int(told) > largest:
            await _refuse(scope, send, 413, _too_much(largest))
            return
        taken, refused = 0, False

        async def counted() -> Any:
            nonlocal taken, refused
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > largest:
                refused = True
                return {"type": "http.disconnect"}
            return message

        async def unless_refused(message: Any) -> None:
            if not refused:
                await send(message)

        try:
            await self.app(scope, counted, unless_refused)
        finally:
            if refused:
                await _refuse(scope, send, 413, _too_much(largest))


@dataclass(frozen=True, slots=True)
class OnlyShown:
    """Refuses whatever changes something, where the project is only shown."""

    app: App

    async def __call__(self, scope: Scope, receive: Any, send: Any) -> None:
        """Hand on what only looks."""
        if scope["type"] == "http" and scope["method"] not in SAFE:
            await _refuse(scope, send, 403, "This project is only shown; nothing can be changed here.")
            return
        await self.app(scope, receive, send)


@dataclass(frozen=True, slots=True)
class StrictPage:
    """Adds the headers that keep the page to its own files."""

    app: App

    async def __call__(self, scope: Scope, receive: Any, send: Any) -> None:
        """Hand on, with the headers added to the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Any) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *_headers(message["headers"])]
            await send(message)

        await self.app(scope, receive, with_headers)


def _too_much(largest: int) -> str:
    return f"At most {largest // 1_000_000} MB are taken at once."


def _headers(there: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    names = {name.lower() for name, _ in there}
    return [(n.encode(), v.encode()) for n, v in HEADERS.items() if n.encode() not in names]


async def _refuse(scope: Scope, send: Any, status: int, sentence: str) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008, "reason": sentence[:120]})
        return
    body = json.dumps({"sentence": sentence}).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send(
        {"type": "http.response.start", "status": status, "headers": [*headers, (b"connection", b"close")]}
    )
    await send({"type": "http.response.body", "body": body})
