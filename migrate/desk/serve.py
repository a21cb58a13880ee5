"""Starts the desk on the loopback interface and opens it."""

from __future__ import annotations

import socket
import threading
import webbrowser
from pathlib import Path

HOST = "127.0.0.1"


class NoDeskError(Exception):
    """Why the desk cannot start, in words."""


def serve(port: int, browse: bool, packs: tuple[Path, ...] = ()) -> None:
    """Serves until interrupted. Port 0 takes a free one. Raises NoDeskError where the extra or the port is missing."""
    try:
        import uvicorn

        from migrate.desk.app import create_app
    except ModuleNotFoundError as error:
        raise NoDeskError(f"{error.name} is not installed; the desk needs: pip install 'rehilt[desk]'") from None
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((HOST, port))
    except OSError as error:
        listener.close()
        raise NoDeskError(f"port {port} cannot be had: {error.strerror}; give another with --port") from None
    bound = listener.getsockname()[1]
    url = f"http://{HOST}:{bound}/"
    print(f"the desk: {url}  (Ctrl-C ends it)", flush=True)
    config = uvicorn.Config(
        create_app(bound, packs=packs), log_level="warning", lifespan="off", server_header=False, access_log=False
    )
    if browse:
        threading.Timer(0.5, webbrowser.open, (url,)).start()
    uvicorn.Server(config).run(sockets=[listener])
