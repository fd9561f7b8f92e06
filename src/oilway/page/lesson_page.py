"""A lesson as one file: the page itself with tables of solved states inside, to be opened without a server."""

from __future__ import annotations

import base64
import gzip
import json
import re
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from oilway import quantity
from oilway.page.lesson_scene import lesson_scene
from oilway.page.session import Side
from oilway.quantity import Units
from oilway.study.frame import Frame, frame
from oilway.study.lesson import Lesson
from oilway.study.table import LEFT_OUT, Table, tabulate

STATIC = Path(__file__).resolve().parent / "static"
NAMESPACE = "oilway/"  # how modules name each other inside the file
LINK = re.compile(r'<link rel="stylesheet" href="/static/([^"]+)">')
MAIN = re.compile(r'<script type="module" src="/static/main\.js"></script>')
ICON = re.compile(r'<link rel="icon"[^>]*>\s*')
IMPORT = re.compile(r'(\bfrom\s*|\bimport\s*)"\./([^"]+)"')


def lesson_data(lesson: Lesson, told: Callable[[float], None] | None = None) -> dict[str, Any]:
    """Everything in the file: by variant its scene, its table and the states of its stops.

    ``told`` is called with the share done.  Errors: as :func:`oilway.study.table.tabulate`, and
    :class:`NoSolution` for a stop without solution.
    """
    variants: dict[str, Any] = {}
    for number, (variant, machine) in enumerate(lesson.machines.items()):

        def share(done: float, number: int = number) -> None:
            if told is not None:
                told((number + done) / len(lesson.machines))

        side = Side(machine)
        scene = lesson_scene(lesson, variant, side.scene())
        kept = [k for k, c in enumerate(scene["channels"]) if not c["name"].startswith(LEFT_OUT)]
        scene["channels"] = [scene["channels"][k] for k in kept]
        scene["curves"] = side.curves({})
        scene["frame"]["values"] = [scene["frame"]["values"][k] for k in kept]
        scene["handles"] = [
            {**handle, "low": s.low, "high": s.high, "value": min(max(handle["value"], s.low), s.high)}
            for s in lesson.sliders
            for handle in scene["handles"]
            if handle["parameter"] == s.parameter
        ]
        stops = [_exact(frame(side.solve(s.point)), kept) if s.variant == variant else None for s in lesson.stops]
        table = tabulate(machine, lesson.sliders, side.start, share) if lesson.sliders else None
        variants[variant] = {"scene": scene, "stops": stops, "table": table and _table_data(table)}
    return {"first": next(iter(variants)), "sliders": [s.word for s in lesson.sliders], "variants": variants}


def _exact(shown: Frame, kept: list[int]) -> dict[str, Any]:
    return {**asdict(shown), "seq": 0, "values": [shown.values[k] for k in kept]}


def _table_data(table: Table) -> dict[str, Any]:
    """A table as plain data: the numbers packed channel by channel, what is said told once and pointed to."""
    said: list[dict[str, Any]] = []
    told: dict[str, int] = {}
    points: list[int] = []
    across, down = table.values.shape[:2]
    for i in range(across):
        for j in range(down):
            if (i, j) in table.frames:
                f = table.frames[i, j]
                each: dict[str, Any] = {"statuses": f.statuses, "words": f.words, "findings": f.findings}
            else:
                each = {"problem": {"what": table.problems[i, j], "hint": "", "part": ""}}
            key = json.dumps(each, sort_keys=True)
            if key not in told:
                told[key] = len(said)
                said.append(each)
            points.append(told[key])
    packed = np.ascontiguousarray(np.moveaxis(table.values, 2, 0), dtype="<f4").tobytes()
    return {
        "parameters": [s.parameter for s in table.sliders],
        "nodes": [axis.tolist() for axis in table.nodes],
        "values": base64.b64encode(gzip.compress(packed, mtime=0)).decode(),
        "said": said,
        "points": points,
        "apart": table.apart,
    }


def said_of(data: dict[str, Any], units: Units = "shop") -> str:
    """In words: how many stops, what can be moved, and how near the table is between its states."""
    variants = data["variants"].values()
    lesson = next(iter(variants))["scene"]["lesson"]
    said = f"{len(lesson['stops'])} stop{'' if len(lesson['stops']) == 1 else 's'}"
    if not data["sliders"]:
        return said
    apart = max(v["table"]["apart"].get("pressure", 0.0) for v in variants)
    moved = " and ".join(data["sliders"])
    return f"{said}; {moved} can be moved (between the states within {quantity.show(apart, 'pressure', units, 1)})"


def lesson_html(data: dict[str, Any]) -> str:
    """The page with its styles, its modules and the data of a lesson inside; it asks nobody for anything.

    The modules are the ones that the server serves.
    """
    title = next(iter(data["variants"].values()))["scene"]["title"]
    page = (STATIC / "index.html").read_text(encoding="utf-8")
    page = LINK.sub(lambda m: f"<style>{(STATIC / m[1]).read_text(encoding='utf-8')}</style>", page)
    page = ICON.sub("", page)
    modules = {
        NAMESPACE + path.relative_to(STATIC).as_posix(): _as_url(_named(path.read_text(encoding="utf-8"), path))
        for path in sorted(STATIC.rglob("*.js"))
        if path.parent.name != "workshop"  # a lesson has no file to write
    }
    scripts = (
        f'<script type="importmap">{_inside({"imports": modules})}</script>\n'
        f'<script type="application/json" id="lesson-data">{_inside(data)}</script>\n'
        f'<script type="module">import "{NAMESPACE}main.js";</script>'
    )
    page = MAIN.sub(lambda _: scripts, page)
    return page.replace("<title>Oilway</title>", f"<title>{_escaped(title)}</title>")


def _named(source: str, path: Path) -> str:
    """A module with its neighbours named as the import map names them."""
    folder = path.relative_to(STATIC).parent.as_posix()
    lead = NAMESPACE + ("" if folder == "." else f"{folder}/")
    return IMPORT.sub(lambda m: f'{m[1]}"{lead}{m[2]}"', source)


def _as_url(source: str) -> str:
    return "data:text/javascript;base64," + base64.b64encode(source.encode()).decode()


def _inside(data: Any) -> str:
    """JSON that ends no script element, whatever the names in the files are."""
    return json.dumps(data, allow_nan=False).replace("<", "\\u003c")


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
