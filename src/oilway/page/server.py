"""The server of the page: loopback only, one user, plain JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from oilway.page.session import Session

STATIC = Path(__file__).resolve().parent / "static"


def app(session: Session) -> Starlette:
    """The application that serves one session."""

    async def index(_: Request) -> Response:
        return FileResponse(STATIC / "index.html")

    async def scene(request: Request) -> Response:
        side = session.side(request.query_params.get("side", "a"))
        return JSONResponse(await run_in_threadpool(side.scene))

    async def frame(request: Request) -> Response:
        asked: Any = await request.json()
        side = session.side(asked.get("side", "a"))
        return JSONResponse(await run_in_threadpool(side.frame, asked["set"], asked["seq"]))

    async def curves(request: Request) -> Response:
        asked: Any = await request.json()
        side = session.side(asked.get("side", "a"))
        return JSONResponse({"curves": await run_in_threadpool(side.curves, asked["set"])})

    return Starlette(
        routes=[
            Route("/", index),
            Route("/api/scene", scene),
            Route("/api/frame", frame, methods=["POST"]),
            Route("/api/curves", curves, methods=["POST"]),
            Mount("/static", StaticFiles(directory=STATIC)),
        ]
    )
