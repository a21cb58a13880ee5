"""The desk's app: one page, its assets, and a handful of JSON answers over the same road as the command line."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from migrate.desk import explain
from migrate.desk.guard import Guard, TooMuchError
from migrate.desk.page import page
from migrate.desk.requests import Asked, BadRequestError, asked
from migrate.desk.work import Desk
from migrate.diagnostics import Diagnostic
from migrate.pipeline import Moved, compare_readings, move, read
from migrate.report.demo import demo_job
from migrate.report.diff import unified
from migrate.report.html.controls import asset
from migrate.report.html.report import report_page
from migrate.resources import demo_path
from migrate.source import SourceFile

SECONDS = 30.0  # that one answer may take
AT_ONCE = 2  # answers worked on together; what is past its time still counts until it ends

Answer = Callable[[Asked], Any]


class Workers:
    """Runs work in threads, at most two at once, and gives up waiting after a time."""

    def __init__(self, seconds: float = SECONDS) -> None:
        self._seconds, self._free = seconds, asyncio.Semaphore(AT_ONCE)

    async def run(self, work: Callable[[], Any]) -> Any:
        """The result. Raises TimeoutError where it, or a free worker, does not come in time."""
        await asyncio.wait_for(self._free.acquire(), self._seconds)
        task = asyncio.ensure_future(asyncio.to_thread(work))
        task.add_done_callback(self._done)
        return await asyncio.wait_for(asyncio.shield(task), self._seconds)

    def _done(self, task: asyncio.Future[Any]) -> None:
        self._free.release()
        # Looked at here, so that what fails after its time is up makes no noise.
        if not task.cancelled():
            task.exception()


def create_app(port: int, seconds: float = SECONDS, packs: tuple[Path, ...] = ()) -> Guard:
    """The app for one port of the loopback interface; `packs` are folders of the user's own."""
    desk, workers = Desk(), Workers(seconds)

    def answered(answer: Answer) -> Callable[[Request], Awaitable[Response]]:
        async def endpoint(request: Request) -> Response:
            try:
                one = asked(json.loads(await request.body()), packs)
                found = await workers.run(lambda: answer(one))
            except (json.JSONDecodeError, UnicodeDecodeError, RecursionError):
                return JSONResponse({"error": "the request is no JSON"}, 400)
            except BadRequestError as error:
                return JSONResponse({"error": str(error)}, 400)
            except TooMuchError:
                return JSONResponse({"error": "the request is too big"}, 413)
            except TimeoutError:
                return JSONResponse(
                    {"error": f"this takes longer than {seconds:g} s; the command line has no limit"}, 503
                )
            return found if isinstance(found, Response) else JSONResponse(found)

        return endpoint

    posts: dict[str, Answer] = {
        "/move": desk.move,
        "/date": explain.dating,
        "/play": desk.play,
        "/construct": lambda one: explain.construct(desk, one),
        "/file": _file,
        "/patch": _patch,
        "/report": _report,
    }
    routes = [
        Route("/", lambda request: HTMLResponse(page(packs))),
        Route("/demo", _demo),
        Route("/desk.css", lambda request: _asset("text/css", asset("look.css"), _own("desk.css"))),
        Route("/desk.js", lambda request: _asset("text/javascript", asset("player.js"), _own("desk.js"))),
        *(Route(path, answered(answer), methods=["POST"]) for path, answer in posts.items()),
    ]
    return Guard(Starlette(routes=routes), port)


async def _demo(request: Request) -> Response:
    job = demo_job()
    text = demo_path(job.config).read_text("utf-8")
    return JSONResponse({"name": job.config, "text": text, "to": job.to, "style": job.style})


def _asset(kind: str, *parts: str) -> Response:
    return Response("\n".join(parts), media_type=kind)


def _own(name: str) -> str:
    return Path(__file__).with_name(name).read_text("utf-8")


# ---- downloads ---------------------------------------------------------------------------------------


def _file(one: Asked) -> Response:
    """The moved text as it stands on the page, written as the file came."""
    return Response(one.form.bytes(one.moved), media_type="application/octet-stream")


def _patch(one: Asked) -> Response:
    """The unified diff from the text to the moved text, for patch and git apply."""
    return Response(unified(one.name, one.form.bytes(one.text), one.form.bytes(one.moved)), media_type="text/x-diff")


def _report(one: Asked) -> Response:
    """The report of the move. Where the moved text was edited, that text is compared and shown instead."""
    source = SourceFile(one.name, one.text.encode("utf-8"))
    if not one.options.target:
        raise BadRequestError("say which generation to move to")
    moved = move(source, one.options)
    if one.moved and one.moved.encode("utf-8") != moved.text:
        moved = _as_edited(one, moved)
    return HTMLResponse(report_page(moved, one.options))


def _as_edited(one: Asked, moved: Moved) -> Moved:
    """The move with the edited text in place of its own, graded anew."""
    before = read(moved.source, one.options)
    text = one.moved.encode("utf-8")
    if isinstance(before, Diagnostic):
        raise BadRequestError(before.message)
    after = read(SourceFile(one.name, text), replace(one.options, reading=moved.target, blade=before.blade))
    if isinstance(after, Diagnostic):
        raise BadRequestError(f"the edited text cannot be read: {after.message}")
    graded = compare_readings(before, after, one.options)
    return replace(graded, text=text, target=moved.target, diagnostics=(*before.diagnostics, *after.parsed.diagnostics))
