"""A class that follows: the room is open to who knows the door word, and only looks; the desk needs a code.

What students explore comes from a table that each browser gets once, so that thirty of them ask the server for
nothing; what the instructor shows is told to all as it changes.
"""

from __future__ import annotations

import gzip
import hmac
import json
import secrets
import time
from collections import deque
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from oilway.page.guard import Guard
from oilway.page.lines import Lines, event

STATIC = Path(__file__).resolve().parent / "static"
STUDENT, DESK = "oilway_student", "oilway_desk"  # who a cookie is for
TRIES, WITHIN = 10, 60.0  # wrong words from one address in so many seconds, before the door stays shut
DOES = ("next", "back", "reveal", "numbers", "freeze")  # what the desk can do to the instructor's page
LONGEST_WORD = 100  # characters of a word or code that is looked at at all


@dataclass
class Classroom:
    """The room: its door word, the code of the desk, the lesson as bytes, and what is shown now."""

    word: str
    code: str
    data: bytes  # JSON, gzipped
    shown: dict[str, Any] = field(default_factory=dict)
    lines: Lines = field(default_factory=Lines)  # to the students
    desk: Lines = field(default_factory=Lines)  # to the instructor's page
    _secret: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    _wrong: dict[str, deque[float]] = field(default_factory=dict)

    def tell(self, shown: dict[str, Any]) -> None:
        """What the instructor shows now, to everybody in the room."""
        self.shown = shown
        self.lines.tell("at", shown)

    def ticket(self, role: str) -> str:
        """The cookie of a role; it ends with the server."""
        return hmac.new(self._secret, role.encode(), "sha256").hexdigest()

    def holds(self, request: Request, role: str) -> bool:
        """Whether a browser has been let in as this."""
        shown = request.cookies.get(cookie_name(request, role), "")
        return hmac.compare_digest(shown.encode(), self.ticket(role).encode())

    def lets_in(self, said: str, role: str) -> bool:
        """Whether a word (capitals do not matter) opens the door, or a code the desk."""
        if role == STUDENT:
            said, wanted = said.strip().casefold(), self.word.strip().casefold()
        else:
            said, wanted = said.strip(), self.code
        return hmac.compare_digest(said.encode(), wanted.encode())

    def waits(self, address: str) -> bool:
        """Whether an address has tried too many wrong words lately."""
        tries = self._wrong.get(address, deque())
        while tries and tries[0] < time.monotonic() - WITHIN:
            tries.popleft()
        return len(tries) >= TRIES

    def was_wrong(self, address: str) -> None:
        """Remember a wrong word."""
        self._wrong.setdefault(address, deque()).append(time.monotonic())


def cookie_name(request: Request, role: str) -> str:
    """The name of a role's cookie: a browser hands cookies to all ports of a host; each room has its own word."""
    return f"{role}_{request.url.port or 80}"


def packed(data: dict[str, Any]) -> bytes:
    """The lesson as it is sent to each browser once."""
    return gzip.compress(json.dumps(data, allow_nan=False).encode(), mtime=0)


def room(classroom: Classroom) -> Starlette:
    """The application that the room sees."""
    doors = _Doors(classroom)
    served = Starlette(
        routes=[
            Route("/", doors.page),
            Route("/door", doors.door, methods=["POST"]),
            Route("/desk", doors.desk_page),
            Route("/desk/code", doors.desk_code, methods=["POST"]),
            Route("/desk/do", doors.do, methods=["POST"]),
            Route("/class/data", doors.data),
            Route("/class/events", doors.events),
            Mount("/static", StaticFiles(directory=STATIC)),
        ],
        middleware=[Middleware(Guard, room=True)],
    )
    served.state.hang_up = classroom.lines.hang_up
    return served


def door(classroom: Classroom) -> Route:
    """The door alone, for another page that the room may see."""
    return Route("/door", _Doors(classroom).door, methods=["POST"])


class _Doors:
    """The answers to the room."""

    def __init__(self, classroom: Classroom) -> None:
        self.room = classroom

    async def page(self, request: Request) -> Response:
        if not self.room.holds(request, STUDENT):
            return FileResponse(STATIC / "door.html")
        page = (STATIC / "index.html").read_text(encoding="utf-8")
        return HTMLResponse(page.replace("<title>", '<meta name="oilway-class" content="follow">\n  <title>', 1))

    async def desk_page(self, request: Request) -> Response:
        return FileResponse(STATIC / ("desk.html" if self.room.holds(request, DESK) else "door.html"))

    async def door(self, request: Request) -> Response:
        return await self._try(request, STUDENT)

    async def desk_code(self, request: Request) -> Response:
        return await self._try(request, DESK)

    async def _try(self, request: Request, role: str) -> Response:
        address = request.client.host if request.client else ""
        if self.room.waits(address):
            return _no("too many wrong words; wait a minute", 429)
        said = await _said(request, "word")
        if said is None or len(said) > LONGEST_WORD or not self.room.lets_in(said, role):
            self.room.was_wrong(address)
            return _no("that is not the word" if role == STUDENT else "that is not the code", 403)
        answer = JSONResponse({"open": True})
        answer.set_cookie(cookie_name(request, role), self.room.ticket(role), httponly=True, samesite="strict")
        return answer

    async def do(self, request: Request) -> Response:
        if not self.room.holds(request, DESK):
            return _no("the desk needs the instructor's code", 403)
        said = await _said(request, "do")
        if said not in DOES:
            return _no(f"the desk can do: {', '.join(DOES)}", 400)
        self.room.desk.tell("do", {"do": said})
        return JSONResponse({"done": said})

    async def data(self, request: Request) -> Response:
        if not self.room.holds(request, STUDENT):
            return _no("the door word first", 403)
        headers = {"Content-Encoding": "gzip", "Content-Type": "application/json"}
        return Response(self.room.data, headers=headers)

    async def events(self, request: Request) -> Response:
        if not (self.room.holds(request, STUDENT) or self.room.holds(request, DESK)):
            return _no("the door word first", 403)
        return self.room.lines.answer(event("at", self.room.shown))


async def _said(request: Request, key: str) -> str | None:
    """One text of a question; None where it is no such question."""
    try:
        asked = await request.json()
    except (ValueError, RecursionError):
        return None
    said = asked.get(key) if isinstance(asked, dict) else None
    return said if isinstance(said, str) else None


def _no(why: str, status: int) -> Response:
    return JSONResponse({"problem": {"what": why, "hint": "", "part": ""}}, status)
