"""Paper typed in, over HTTP: to this computer only, as what is seen there are keys and names."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from oilway.errors import InputError, OilwayError
from oilway.page.enter import Enter
from oilway.page.guard import Guard
from oilway.page.server import STATIC, question_of, refused

PAGE = STATIC / "enter" / "index.html"


def enter_app(enter: Enter) -> Starlette:
    """The application that takes the answers of a class."""

    async def shown(_: Request) -> Response:
        return FileResponse(PAGE)

    async def state(request: Request) -> Response:
        asked = partial(enter.state, request.query_params.get("student", ""))
        return JSONResponse(await run_in_threadpool(asked))

    async def ahead(_: Request) -> Response:
        return JSONResponse(enter.ahead())

    async def check(request: Request) -> Response:
        """What an answer that is being typed is worth; one that cannot be is told as data, not as an error."""
        asked = await question_of(request)
        try:
            return JSONResponse(await run_in_threadpool(enter.check, *_texts(asked, "student", "field", "typed")))
        except InputError as error:
            problem = error.problems[0]
            return JSONResponse({"mark": None, "problem": {"what": problem.what, "hint": problem.hint}})

    made = Starlette(
        routes=[
            Route("/", shown),
            Route("/enter", shown),
            Route("/api/enter", state),
            Route("/api/enter/ahead", ahead),
            Route("/api/enter/check", check, methods=["POST"]),
            _given("find", enter.find, "code"),
            _given("put", enter.put, "student", "field", "typed", "was"),
            _given("override", enter.override, "student", "item", "marks", "reason", "was"),
            Mount("/static", StaticFiles(directory=STATIC)),
        ],
        middleware=[Middleware(Guard)],
        exception_handlers={OilwayError: refused},
    )
    made.state.hang_up = enter.keys.stop
    return made


def _given(name: str, does: Callable[..., dict[str, Any]], *keys: str) -> Route:
    """A route that hands the texts of a question on, in a thread: files are written there, and states solved."""

    async def answer(request: Request) -> Response:
        asked = await question_of(request)
        return JSONResponse(await run_in_threadpool(does, *_texts(asked, *keys)))

    return Route(f"/api/enter/{name}", answer, methods=["POST"])


def _texts(asked: dict[str, Any], *keys: str) -> list[str]:
    said = (asked.get(key) for key in keys)
    return [text if isinstance(text, str) else "" for text in said]
