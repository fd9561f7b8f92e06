"""What the page looks at: a loaded file as side a, another or a changed one as side b, and their answers."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from oilway import load
from oilway.draw.pictures import Named, pictures
from oilway.errors import InputError, OilwayError, Place, Problem
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.page.scene import curve_data, frame_data, problem_data, scene
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.curve import relief_curve
from oilway.study.frame import frame
from oilway.study.handles import start


class Side:
    """One machine on the page.

    A compiled System is not for two threads at once, so each question waits for the one before it; what takes
    long works on a System of its own and keeps no slider waiting.
    """

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self.pictures: list[Named] = pictures(machine)
        self.start = start(machine)
        self._slow = replace(machine)
        self._quick_lock, self._slow_lock = threading.Lock(), threading.Lock()
        self._warm: Vector | None = None

    def solve(self, values: Mapping[str, float]) -> State:
        """The state at a point over the file's own.  Errors: as :func:`oilway.solve.point.solve_point`.

        It starts from the last one, as the machine itself would: a part that can rest in two places stays where
        it came from.  Without values it starts from a stand at rest, as ``explain`` does.
        """
        with self._quick_lock:
            point = self.machine.point_of({**self.start, **values})
            state = solve_point(self.machine, point, self._warm if values else None)
            self._warm = state.z
            return state

    def frame(self, values: Mapping[str, float], seq: int) -> dict[str, Any]:
        """FRAME at a point, or the problem that keeps it from being there."""
        try:
            return frame_data(frame(self.solve(values)), seq)
        except OilwayError as error:
            return problem_data(error, seq)

    def scene(self) -> dict[str, Any]:
        """SCENE with the frame at the file's own operating point."""
        state = self.solve({})
        with self._quick_lock:
            return {**scene(state, self.pictures), "curves": [], "frame": frame_data(frame(state), 0)}

    def curves(self, values: Mapping[str, float]) -> list[dict[str, Any]]:
        """The curve of the valve on the stand; none of a machine or of a valve that has no such curve."""
        with self._slow_lock:
            try:
                point = self._slow.point_of(values)
                return [curve_data(self.machine.title, relief_curve(self._slow, point=point))]
            except InputError:
                return []


class Session:
    """The file that was opened, and the sides the page shows of it."""

    def __init__(self, file: str | Path, changes: Mapping[str, str] | None = None) -> None:
        self.file, self.changes = file, dict(changes or {})
        self.sides = {"a": Side(load(file, self.changes))}

    def side(self, name: str) -> Side:
        """Side a or b.  Errors: :class:`InputError` where there is none."""
        if name not in self.sides:
            raise InputError(Problem(Place("page"), f"there is no side '{name}'"))
        return self.sides[name]
