"""The server of the page: for one user on this computer, plain JSON."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from oilway.draw.export_picture import FORMATS
from oilway.errors import InputError, OilwayError, Place, Problem
from oilway.page.classroom import Classroom
from oilway.page.guard import Guard
from oilway.page.lines import Lines, event
from oilway.page.plan_routes import plan_routes
from oilway.page.scene import broken_data, problem_data
from oilway.page.sealed import Game, SealedPage
from oilway.page.sealed_routes import sealed_routes
from oilway.page.session import Session, Side
from oilway.page.workshop_routes import workshop_routes

STATIC = Path(__file__).resolve().parent / "static"
LOOK = 0.3  # s between two looks at the files
TYPES = {"svg": "image/svg+xml", "png": "image/png", "pdf": "application/pdf"}
Answer = TypeVar("Answer", int, str, list[Any], dict[str, Any])
WORDS = {int: "whole number", str: "text", list: "list", dict: "group of values"}


def app(session: Session, classroom: Classroom | None = None, game: Game | None = None) -> Starlette:
    """The application that serves one session, and tells a class what it shows; ``game``: sealed already."""
    page = _Page(session, classroom)
    made = Starlette(
        routes=[
            Route("/", page.index),
            Route("/api/scene", page.scene),
            Route("/api/frame", page.frame, methods=["POST"]),
            Route("/api/curves", page.curves, methods=["POST"]),
            Route("/api/run", page.run, methods=["POST"]),
            Route("/api/side", page.compare, methods=["POST"]),
            Route("/api/swaps", page.swaps),
            Route("/api/draw", page.draw),
            Route("/api/events", page.events),
            *workshop_routes(session, question_of),
            *plan_routes(session),
            *sealed_routes(session, question_of, SealedPage(game)),
            Route("/api/shown", page.shown, methods=["POST"]),
            Mount("/static", StaticFiles(directory=STATIC)),
        ],
        middleware=[Middleware(Guard)],
        exception_handlers={OilwayError: refused},
        lifespan=page.watching,
    )
    made.state.hang_up = page.lines.hang_up
    return made


class _Page:
    """The answers of the server; what is computed is computed in a thread, so that the server stays awake."""

    def __init__(self, session: Session, classroom: Classroom | None) -> None:
        self.session, self.classroom = session, classroom
        self.lines = classroom.desk if classroom else Lines()

    async def index(self, _: Request) -> Response:
        return FileResponse(STATIC / "index.html")

    async def scene(self, request: Request) -> Response:
        side = request.query_params.get("side", "a")
        scene = await run_in_threadpool(self.session.scene, side)
        return JSONResponse({**scene, "class": self.classroom is not None})

    async def frame(self, request: Request) -> Response:
        asked = await question_of(request)
        side, values = self._side(asked)
        seq = _item(asked, "seq", 0)
        return JSONResponse(await run_in_threadpool(side.frame, values, seq))

    async def curves(self, request: Request) -> Response:
        side, values = self._side(await question_of(request))
        return JSONResponse({"curves": await run_in_threadpool(side.curves, values)})

    async def run(self, request: Request) -> Response:
        asked = await question_of(request)
        side, values = self._side(asked)
        nothing: list[Any] = []
        texts = [str(text) for text in _item(asked, "do", nothing)]
        return JSONResponse(await run_in_threadpool(side.run, values, _number(asked.get("for")), texts))

    async def compare(self, request: Request) -> Response:
        asked = await question_of(request)
        changes = {key: str(text) for key, text in _group(asked, "changes").items()}
        side = await run_in_threadpool(self.session.compare, changes, _item(asked, "file", ""))
        return JSONResponse(await run_in_threadpool(side.scene))

    async def swaps(self, _: Request) -> Response:
        return JSONResponse(await run_in_threadpool(self.session.swaps))

    async def draw(self, request: Request) -> Response:
        query = request.query_params
        side, values = self._side({"side": query.get("side", "a"), "set": _read(query.get("set", "{}"))})
        form = next((f for f in FORMATS if f == query.get("format", "svg")), None)
        if form is None:
            raise InputError(Problem(Place("page"), "a picture is written as svg, png or pdf"))
        units: Any = "metric" if query.get("units") == "metric" else "shop"
        hatched = query.get("hatched") == "1"
        draw = partial(side.draw, query.get("picture", ""), values, form, units, hatched=hatched)
        data = await run_in_threadpool(draw)
        return Response(data, headers={"Content-Type": TYPES[form]})

    def _side(self, asked: dict[str, Any]) -> tuple[Side, dict[str, float]]:
        values = {name: _number(value) for name, value in _group(asked, "set").items()}
        return self.session.side(_item(asked, "side", "a")), values

    # -- live reload ---------------------------------------------------------------------------------------
    async def events(self, _: Request) -> Response:
        return self.lines.answer(event(*self._news()) if self.session.broken is not None else "")

    def _news(self) -> tuple[str, dict[str, Any]]:
        broken = self.session.broken
        return ("changed", {}) if broken is None else ("broken", broken_data(broken))

    @asynccontextmanager
    async def watching(self, _: Starlette) -> AsyncIterator[None]:
        """Look at the files while the server runs."""
        task = asyncio.create_task(self._watch())
        yield
        task.cancel()

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(LOOK)
            try:
                changed = await run_in_threadpool(self.session.reload_if_changed)
            except Exception:  # a defect must not end the watch: the next save may do
                logging.getLogger(__name__).exception("the file could not be read again")
                continue
            if changed:
                self.lines.tell(*self._news())

    # -- a class that follows --------------------------------------------------------------------------------
    async def shown(self, request: Request) -> Response:
        """What the instructor's page shows now, for those who follow."""
        if self.classroom is not None:
            self.classroom.tell(await question_of(request))
        return JSONResponse({"listening": len(self.classroom.lines) if self.classroom else 0})


async def question_of(request: Request) -> dict[str, Any]:
    """The JSON object of a request.  Errors: :class:`InputError` for anything else."""
    asked = _read((await request.body()).decode(errors="replace"))
    if not isinstance(asked, dict):
        raise _misread("a question is one JSON object")
    return asked


def _read(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise _misread("that is no JSON") from None


def _item(asked: dict[str, Any], key: str, default: Answer) -> Answer:
    """An item of a question, of the same type as what it is when it is left out."""
    value = asked.get(key, default)
    if type(value) is not type(default):
        raise _misread(f"'{key}' is to be a {WORDS[type(default)]}")
    return value


def _group(asked: dict[str, Any], key: str) -> dict[str, Any]:
    nothing: dict[str, Any] = {}
    return _item(asked, key, nothing)


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _misread(f"'{value}' is no number")
    try:
        return float(value)
    except OverflowError:
        raise _misread("a number is too large") from None


def _misread(what: str) -> InputError:
    return InputError(Problem(Place("page"), what))


async def refused(_: Request, error: Exception) -> Response:
    """A question that cannot be answered, in words."""
    assert isinstance(error, OilwayError)
    return JSONResponse(problem_data(error, 0), 400 if isinstance(error, InputError) else 422)
