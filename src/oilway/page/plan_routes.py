"""The setting plan on the page: the data of the printed plan, or every reason why there is none."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from oilway import quantity
from oilway.errors import InputError, OilwayError
from oilway.model.machine import Machine
from oilway.page.scene import problem_data
from oilway.page.session import Session
from oilway.quantity import Units
from oilway.sheets.plan_sheet import plan_pdf
from oilway.study.plan import Plan, setting_plan
from oilway.study.plan_data import plan_data

PAGE = Path(__file__).resolve().parent / "static" / "plan" / "index.html"


def plan_routes(session: Session) -> list[Route]:
    """The routes of the setting plan of the file that is open."""
    plans = Plans(session)

    async def shown(_: Request) -> Response:
        return FileResponse(PAGE)

    async def data(request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(plans.data, _units(request), _rated(request)))

    async def printed(request: Request) -> Response:
        paper = request.query_params.get("paper", "letter")
        pdf = await run_in_threadpool(plans.pdf, _units(request), _rated(request), paper)
        named = {"Content-Disposition": 'inline; filename="setting-plan.pdf"'}
        return Response(pdf, headers={"Content-Type": "application/pdf", **named})

    return [Route("/plan", shown), Route("/api/plan", data), Route("/api/plan.pdf", printed)]


class Plans:
    """Plans of the open file, each solved once: every function is held, and every wrong way taken."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self._lock = threading.Lock()
        self._kept: tuple[Machine, str, Plan] | None = None

    def plan(self, rated: str) -> Plan:
        """The plan; ``rated`` is the typed rated pressure of a valve alone on its stand.

        Errors: as :func:`oilway.study.plan.setting_plan`.
        """
        with self._lock:
            machine = self.session.side("a").machine
            if self._kept is None or self._kept[0] is not machine or self._kept[1] != rated:
                pressure = quantity.parse(rated, "pressure") if rated else None
                # A System of its own: the sliders go on meanwhile.
                self._kept = machine, rated, setting_plan(replace(machine), rated=pressure)
            return self._kept[2]

    def data(self, units: Units, rated: str) -> dict[str, Any]:
        """The plan as data, or ``problems``: each with file, line, what is wrong and what to add."""
        try:
            return plan_data(self.plan(rated), units)
        except InputError as error:
            return {
                "title": self.session.title,
                "problems": [
                    {"file": p.where.file, "line": p.where.line, "what": p.what, "hint": p.hint}
                    for p in error.problems
                ],
            }
        except OilwayError as error:
            said = problem_data(error, 0)["problem"]
            return {"title": self.session.title, "problems": [{"file": "", "line": 0, **said}]}

    def pdf(self, units: Units, rated: str, paper: str) -> bytes:
        """The plan as it is printed.  Errors: as :meth:`plan`, or an unknown paper."""
        return plan_pdf(self.plan(rated), units, paper)


def _units(request: Request) -> Units:
    return "metric" if request.query_params.get("units") == "metric" else "shop"


def _rated(request: Request) -> str:
    return request.query_params.get("rated", "").strip()
