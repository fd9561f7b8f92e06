"""The workshop as the page asks for it: what cannot be done is told as data, for the form to show."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from oilway.errors import OilwayError
from oilway.model.catalogue import shipped_valves
from oilway.page.scene import problem_data
from oilway.page.session import Session
from oilway.page.workshop import Workshop
from oilway.page.workshop_look import look

STATIC = Path(__file__).resolve().parent / "static"
Asked = Callable[[Request], Awaitable[dict[str, Any]]]


def workshop_routes(session: Session, asked: Asked) -> list[Route]:
    """The routes of the workshop; ``asked`` reads the JSON object of a request."""
    page = _Workshop(session)

    def answers(does: Callable[[dict[str, Any]], dict[str, Any]]) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            question = await asked(request)
            return JSONResponse(await run_in_threadpool(partial(_told, does, question)))

        return answer

    async def shown(_: Request) -> Response:
        return FileResponse(STATIC / "workshop" / "index.html")

    async def forms(_: Request) -> Response:
        return JSONResponse(await run_in_threadpool(page.forms))

    return [
        Route("/workshop", shown),
        Route("/api/workshop/forms", forms),
        *(
            Route(f"/api/workshop/{name}", answers(does), methods=["POST"])
            for name, does in (
                ("start", page.start),
                ("seen", page.seen),
                ("changed", page.changed),
                ("look", page.look),
                ("save", page.save),
                ("open", page.open),
            )
        ),
    ]


class _Workshop:
    """The answers; the folder is that of the file that is open at the time."""

    def __init__(self, session: Session) -> None:
        self.session = session

    @property
    def folder(self) -> Path:
        """Where files are written to: beside the open file, or where Oilway was started for a shipped valve."""
        path = self.session.side("a").machine.path
        return Path.cwd() if path in shipped_valves().values() else path.parent

    def forms(self) -> dict[str, Any]:
        """The forms, and what is open: a file, or a shipped valve by its name."""
        path = self.session.side("a").machine.path
        name = next((name for name, shipped in shipped_valves().items() if shipped == path), path.name)
        return {**Workshop(self.folder).forms(), "open": name}

    def start(self, asked: dict[str, Any]) -> dict[str, Any]:
        return Workshop(self.folder).start(_text(asked, "name"))

    def seen(self, asked: dict[str, Any]) -> dict[str, Any]:
        return Workshop(self.folder).seen(_text(asked, "text"))

    def changed(self, asked: dict[str, Any]) -> dict[str, Any]:
        do = asked.get("do")
        return Workshop(self.folder).changed(_text(asked, "text"), do if isinstance(do, dict) else {})

    def look(self, asked: dict[str, Any]) -> dict[str, Any]:
        return look(_text(asked, "text"), self.folder)

    def save(self, asked: dict[str, Any]) -> dict[str, Any]:
        return Workshop(self.folder).save(*(_text(asked, key) for key in ("name", "text", "was")))

    def open(self, asked: dict[str, Any]) -> dict[str, Any]:
        """The page goes on with a file of the folder."""
        name = _text(asked, "name")
        self.session.open(str(Workshop(self.folder).path(name)))
        return {"opened": name}


def _told(does: Callable[[dict[str, Any]], dict[str, Any]], question: dict[str, Any]) -> dict[str, Any]:
    try:
        return does(question)
    except OilwayError as error:
        said = problem_data(error, 0)
        return {"problem": said["problem"]}


def _text(asked: dict[str, Any], key: str) -> str:
    return str(asked.get(key, ""))
