"""The test stand over HTTP: to this computer, and to a phone in the room behind the door word."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from oilway.errors import InputError, OilwayError
from oilway.page.classroom import STUDENT, Classroom, door
from oilway.page.guard import Guard
from oilway.page.server import STATIC, question_of, refused
from oilway.page.stand import Stand
from oilway.quantity import Units

Answer = Callable[[Request], Awaitable[Response]]
PAGE, DOOR = STATIC / "stand" / "index.html", STATIC / "door.html"


def stand_app(stand: Stand, shut: Classroom | None = None) -> Starlette:
    """The application of a stand; ``shut`` behind a door, where the room can reach it."""
    page = _Page(stand)
    routes = [
        ("/api/stand", page.state, "GET"),
        ("/api/stand/check", page.check, "POST"),
        ("/api/stand/put", page.put, "POST"),
        ("/api/stand/undo", page.undo, "POST"),
        ("/api/stand/store", page.store, "POST"),
        ("/api/stand/sheet.pdf", page.sheet, "GET"),
        ("/api/stand/chart.svg", page.chart, "GET"),
    ]

    async def shown(request: Request) -> Response:
        return FileResponse(PAGE if _let_in(request, shut) else DOOR)

    made = Starlette(
        routes=[
            Route("/", shown),
            Route("/stand", shown),
            *(Route(path, _behind(shut, does), methods=[method]) for path, does, method in routes),
            *([] if shut is None else [door(shut)]),
            Mount("/static", StaticFiles(directory=STATIC)),
        ],
        middleware=[Middleware(Guard, room=shut is not None)],
        exception_handlers={OilwayError: refused},
    )
    made.state.hang_up = lambda: None  # no line stays open here
    return made


def _let_in(request: Request, shut: Classroom | None) -> bool:
    return shut is None or shut.holds(request, STUDENT)


def _behind(shut: Classroom | None, does: Answer) -> Answer:
    """An answer for those who have been let in."""

    async def answer(request: Request) -> Response:
        if _let_in(request, shut):
            return await does(request)
        return JSONResponse({"problem": {"what": "the door word first", "hint": "", "part": ""}}, 403)

    return answer


class _Page:
    """The answers; the file is read and written in a thread, so that the server stays awake."""

    def __init__(self, stand: Stand) -> None:
        self.stand = stand

    async def state(self, request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(self.stand.state, _units(request)))

    async def check(self, request: Request) -> Response:
        """What is odd about an answer that is being typed; one that cannot be is told as data, not as an error."""
        asked = await question_of(request)
        try:
            check = partial(self.stand.check, _text(asked, "id"), _text(asked, "typed"), _units(request))
            return JSONResponse(await run_in_threadpool(check))
        except InputError as error:
            problem = error.problems[0]
            return JSONResponse({"odd": [], "problem": {"what": problem.what, "hint": problem.hint}})

    async def put(self, request: Request) -> Response:
        asked = await question_of(request)
        name, typed, was = (_text(asked, key) for key in ("id", "typed", "was"))
        return JSONResponse(await run_in_threadpool(self.stand.put, name, typed, was, _units(request)))

    async def undo(self, request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(self.stand.undo, _units(request)))

    async def store(self, _: Request) -> Response:
        return JSONResponse(await run_in_threadpool(self.stand.store))

    async def sheet(self, request: Request) -> Response:
        paper = request.query_params.get("paper", "letter")
        pdf = await run_in_threadpool(self.stand.pdf, _units(request), paper)
        name = f'inline; filename="{Path(self.stand.path.name).stem.encode("ascii", "replace").decode()}.pdf"'
        return Response(pdf, headers={"Content-Type": "application/pdf", "Content-Disposition": name})

    async def chart(self, request: Request) -> Response:
        svg = await run_in_threadpool(self.stand.chart, _units(request))
        return Response(svg, headers={"Content-Type": "image/svg+xml"})


def _units(request: Request) -> Units:
    return "metric" if request.query_params.get("units") == "metric" else "shop"


def _text(asked: dict[str, Any], key: str) -> str:
    said = asked.get(key)
    return said if isinstance(said, str) else ""
