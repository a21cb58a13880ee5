"""What stands before the app: only this machine's own page may ask, nothing too big, and every answer locked down."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 2_000_000  # of one request: two texts of the greatest length in JSON
HEADERS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src data:; "
    "connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
LOCAL = ("127.0.0.1", "localhost", "[::1]")


class Guard:
    """Refuses a foreign Host (a name that was made to point here), a foreign Origin, and what is no JSON of ours."""

    def __init__(self, app: ASGIApp, port: int) -> None:
        self.app = app
        self.hosts = frozenset(f"{name}:{port}" for name in LOCAL) | (frozenset(LOCAL) if port == 80 else frozenset())

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return

        async def locked(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = [(k.encode(), v.encode()) for k, v in HEADERS.items()]
                message["headers"] = [*message.get("headers", []), *own]
            await send(message)

        refusal = self.refusal(Request(scope))
        if refusal is not None:
            await refusal(scope, receive, locked)
            return
        await self.app(scope, _counted(receive), locked)

    def refusal(self, request: Request) -> JSONResponse | None:
        """The answer to a request that is not to be served, or None."""
        host = request.headers.get("host", "")
        if host not in self.hosts:
            return _no(403, "this address is not the desk's")
        origin = request.headers.get("origin")
        if origin is not None and origin != f"http://{host}":
            return _no(403, "requests from other pages are refused")
        if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return _no(403, "requests from other pages are refused")
        if request.method != "POST":
            return None
        if request.headers.get("content-type", "").split(";")[0].strip() != "application/json":
            return _no(415, "the desk reads JSON")
        length = request.headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MOST_BYTES:
            return _no(413, f"the desk takes {MOST_BYTES} bytes")
        return None


class TooMuchError(Exception):
    """A body that went on past the limit, whatever its header said."""


def _counted(receive: Receive) -> Receive:
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            raise TooMuchError
        return message

    return counted


def _no(status: int, why: str) -> JSONResponse:
    return JSONResponse({"error": why}, status)
