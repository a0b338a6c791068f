"""The application: API, socket, page and guards put together."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from importlib.resources import files
from pathlib import Path

from fastapi import FastAPI, WebSocket
from starlette.responses import FileResponse, Response
from starlette.staticfiles import StaticFiles

import seatfield
from seatfield.pipeline.bench import Bench
from seatfield.web.guards import BodyLimit, OnlyShown, OwnHost, StrictPage
from seatfield.web.live import Hub, serve_socket
from seatfield.web.measuring import router as measuring
from seatfield.web.replies import REFUSED, answer_refusals
from seatfield.web.routes import router

LOOK_EVERY_S = 0.4
BEGIN_AFTER_S = 1.2
"""Time for the first view, before slow stages start beside it."""
ASSETS = Path(str(files("seatfield.web") / "assets"))
FONTS = Path(str(files("seatfield.drawing") / "fonts"))
NOT_BUILT = (
    "The page of the workbench is not built. From a clone, run `make serve`; the released package carries it."
)


def make_app(bench: Bench, hosts: frozenset[str], *, assets: Path = ASSETS) -> FastAPI:
    """Return the application over a project.

    Parameters
    ----------
    bench
        The project at work.
    hosts
        Names under which it may be asked, with port; see `seatfield.web.guards.own_hosts`.
    assets
        Folder of the built page.
    """
    app = FastAPI(
        title="Seatfield workbench",
        version=seatfield.__version__,
        description="One project folder: its drawing, its plan, and changes to it. On this machine only.",
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=_looking,
    )
    app.state.bench = bench
    hub = Hub(bench)
    app.include_router(router)
    app.include_router(measuring)
    answer_refusals(app)

    @app.websocket("/live")
    async def live(socket: WebSocket) -> None:
        await serve_socket(socket, bench, hub)

    _serve_page(app, assets)
    if bench.session.read_only:
        app.add_middleware(OnlyShown)
    app.add_middleware(BodyLimit)
    app.add_middleware(OwnHost, hosts=hosts)
    app.add_middleware(StrictPage)
    return app


def _serve_page(app: FastAPI, assets: Path) -> None:
    index = assets / "index.html"

    @app.get("/", include_in_schema=False)
    def page() -> Response:
        return FileResponse(index) if index.is_file() else Response(NOT_BUILT, 503, media_type="text/plain")

    app.mount("/fonts", StaticFiles(directory=FONTS))
    app.mount("/assets", StaticFiles(directory=assets / "assets", check_dir=False))


@asynccontextmanager
async def _looking(app: FastAPI) -> AsyncIterator[None]:
    """Look for changes of the file that are made elsewhere, for as long as the server runs."""
    bench: Bench = app.state.bench

    async def look() -> None:
        await asyncio.sleep(BEGIN_AFTER_S)
        bench.begin()
        while True:
            await asyncio.sleep(LOOK_EVERY_S)
            await asyncio.to_thread(bench.session.look)

    first = asyncio.create_task(asyncio.to_thread(_first_view, bench))
    watching = asyncio.create_task(look())
    yield
    first.cancel()
    watching.cancel()
    bench.close()


def _first_view(bench: Bench) -> None:
    """Compute what the first view asks for while the browser loads the page; a refusal is the request's to tell."""
    with suppress(*REFUSED):
        bench.state()
