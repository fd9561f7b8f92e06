"""The sealed machine as the page asks for it; no answer says what is hidden before it has been named."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from oilway.errors import InputError, OilwayError, Place, Problem
from oilway.page.scene import problem_data
from oilway.page.sealed import SealedPage
from oilway.page.session import Session

STATIC = Path(__file__).resolve().parent / "static"
HIGHEST = 2**31  # of a seed
Asked = Callable[[Request], Awaitable[dict[str, Any]]]


def sealed_routes(session: Session, asked: Asked, page: SealedPage) -> list[Route]:
    """The routes of the sealed machine; ``asked`` reads the JSON object of a request."""

    def answers(does: Callable[[dict[str, Any]], dict[str, Any]]) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            question = await asked(request) if request.method == "POST" else {}
            return JSONResponse(await run_in_threadpool(partial(_told, does, question)))

        return answer

    async def shown(_: Request) -> Response:
        return FileResponse(STATIC / "sealed" / "index.html")

    def machine() -> Any:
        return session.side("a").machine

    return [
        Route("/sealed", shown),
        Route("/api/sealed/bench", answers(lambda _: page.bench(machine()))),
        *(
            Route(f"/api/sealed/{name}", answers(does), methods=["POST"])
            for name, does in (
                ("start", lambda said: page.start(machine(), _seed(said.get("seed")))),
                ("ask", lambda said: page.ask(str(said.get("reading", "")))),
                ("name", lambda said: page.name(str(said.get("cause", "")))),
            )
        ),
    ]


def _seed(said: Any) -> int | None:
    """A seed as typed; ``None`` for nothing.  Errors: :class:`InputError`."""
    text = str(said if said is not None else "").strip()
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and int(text[:11]) < HIGHEST and len(text) < 11):
        raise InputError(
            Problem(Place("sealed"), f"'{text[:20]}' is no seed", "a whole number, or nothing at all")
        )
    return int(text)


def _told(does: Callable[[dict[str, Any]], dict[str, Any]], question: dict[str, Any]) -> dict[str, Any]:
    try:
        return does(question)
    except OilwayError as error:
        return {"problem": problem_data(error, 0)["problem"]}
