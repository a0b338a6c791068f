"""Running the server on this machine's own address."""

import gc
import socket
from collections.abc import Callable
from pathlib import Path
from threading import Thread, Timer
from types import FrameType

ADDRESS = "127.0.0.1"
LARGEST_MESSAGE_BYTES = 262_144


class PortTakenError(OSError):
    """Another program has the port."""

    def __init__(self, port: int) -> None:
        super().__init__(
            f"Port {port} is taken, perhaps by another workbench; choose another with --port, or 0."
        )


def run(
    project: Path, *, port: int, read_only: bool, open_browser: bool, say: Callable[[str], object]
) -> None:
    """Serve a project until interrupted.

    Parameters
    ----------
    project
        Its folder, or its project.toml.
    port
        0 for a free one.
    read_only
        Whether changes are refused.
    open_browser
        Whether a browser is opened on the page.
    say
        Told the address.

    Raises
    ------
    PortTakenError
        If another program has the port.
    """
    listening = _listen(port)
    number = listening.getsockname()[1]
    address = f"http://{ADDRESS}:{number}/"
    say(f"The workbench is at {address}  (stop it with Ctrl+C)")
    if open_browser:
        _open_soon(address)

    # The browser starts meanwhile; its request waits for the socket.
    import uvicorn

    from seatfield.pipeline.bench import Bench
    from seatfield.web.app import make_app
    from seatfield.web.guards import own_hosts

    class Server(uvicorn.Server):
        """Ends what is computed beside the hand at once, so that no request waits for it."""

        def handle_exit(self, sig: int, frame: FrameType | None) -> None:
            Thread(target=bench.close, daemon=True).start()
            super().handle_exit(sig, frame)

    bench = Bench(project, read_only=read_only)
    app = make_app(bench, own_hosts(number))
    config = uvicorn.Config(
        app,
        log_level="warning",
        ws="websockets-sansio",
        ws_max_size=LARGEST_MESSAGE_BYTES,
        server_header=False,
        timeout_graceful_shutdown=2,
    )
    gc.freeze()  # what is loaded by now stays: no collection need walk through it while a hand moves
    Server(config).run(sockets=[listening])


def _listen(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((ADDRESS, port))
    except OSError as taken:
        listening.close()
        raise PortTakenError(port) from taken
    listening.listen(128)
    return listening


def _open_soon(address: str) -> None:
    import webbrowser

    timer = Timer(0.3, webbrowser.open, (address,))
    timer.daemon = True
    timer.start()
