"""Starting the worktable: find a port on this machine, tell the address, open the browser, serve until stopped."""

import os
import secrets
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from batiksim.errors import BatikError
from batiksim.types import StrPath
from batiksim.worktable.server import make_app
from batiksim.worktable.session import Session

LOOPBACK = "127.0.0.1"
BROWSER_S = 0.3  # after which the browser is opened; if the server needs longer, the browser waits


def serve(
    design: StrPath | None, *, home: Path, port: int = 0, browser: bool = True, say: Callable[[str], None]
) -> None:
    """Serve the worktable until it is stopped.

    design : a design's folder or file; None = the cloth in `home` that was saved last, or a sample
    home : where new designs get their folders
    port : 0 = any free one; say : is given the address
    errors : BatikError for the design, or a port that is taken
    """
    session = Session(home, design)
    try:
        listening = _listen(port)
    except BatikError:
        session.close()
        raise
    port = listening.getsockname()[1]
    token = secrets.token_urlsafe()
    app = make_app(session, hosts=[f"{LOOPBACK}:{port}", f"localhost:{port}"], token=token)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_keep_alive=75,
        timeout_graceful_shutdown=2,
        ws="none",
    )
    address = f"http://{LOOPBACK}:{port}/#{token}"
    say(address)
    if browser:
        threading.Timer(BROWSER_S, webbrowser.open, [address]).start()
    uvicorn.Server(config).run(sockets=[listening])


def _listen(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((LOOPBACK, port))
        listening.listen()  # a browser that is quicker than the server waits
    except (OSError, OverflowError) as error:
        listening.close()
        reason = getattr(error, "strerror", None) or error
        raise BatikError("worktable.error.port", field="port", got=port, reason=str(reason)) from None
    return listening
