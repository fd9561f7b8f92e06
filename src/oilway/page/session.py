"""What the page looks at: a loaded file as side a, another or a changed one as side b, and their answers."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from oilway import load, quantity
from oilway.draw.export_picture import Format, exported
from oilway.draw.paint import paint
from oilway.draw.pictures import laid_out, pick, pictures
from oilway.errors import InputError, OilwayError, Place, Problem, did_you_mean
from oilway.model.catalogue import is_file, shipped_valves
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.page.lesson_scene import lesson_scene
from oilway.page.scene import curve_data, frame_data, problem_data, run_data, scene
from oilway.quantity import Units
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.frame import frame
from oilway.study.handles import start
from oilway.study.lesson import is_lesson, open_lesson
from oilway.study.moving_frames import moving_frames
from oilway.study.run import read_change, run
from oilway.study.scale import full_scale
from oilway.study.swaps import swaps
from oilway.study.valve_curves import Benches

ROWS = 300  # output times of a run
LONGEST = 60.0  # s of a run: more would keep a class waiting
KEPT = 32  # answers of curves that are kept


class Side:
    """One machine on the page.

    A compiled System is not for two threads at once, so each question waits for the one before it; what takes
    long works on a System of its own and keeps no slider waiting.
    """

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self.pictures = laid_out(pictures(machine))
        self.start = start(machine)
        self._slow = replace(machine)
        self._benches = Benches(self._slow)
        self._quick_lock, self._slow_lock = threading.Lock(), threading.Lock()
        self._warm: Vector | None = None
        self._kept = lru_cache(maxsize=KEPT)(self._curves)

    def solve(self, values: Mapping[str, float]) -> State:
        """The state at a point over the file's own.  Errors: as :func:`oilway.solve.point.solve_point`.

        It starts from the last one, as the machine itself would: a part that can rest in two places stays where
        it came from.  Without values it starts from a stand at rest, as ``explain`` does.
        """
        with self._quick_lock:
            state = solve_point(self.machine, self._point(values), self._warm if values else None)
            self._warm = state.z
            return state

    def frame(self, values: Mapping[str, float], seq: int) -> dict[str, Any]:
        """FRAME at a point, or the problem that keeps it from being there."""
        try:
            return frame_data(frame(self.solve(values)), seq)
        except OilwayError as error:
            return problem_data(error, seq)

    def scene(self) -> dict[str, Any]:
        """SCENE, with the frame at the file's own operating point.  Errors: where that cannot be solved."""
        state = self.solve({})
        with self._quick_lock:
            return {**scene(state, self.pictures), "curves": [], "frame": frame_data(frame(state), 0)}

    def curves(self, values: Mapping[str, float]) -> list[dict[str, Any]]:
        """The curves of the reliefs with the internals and the oil of a point.  Errors: :class:`NoSolution`."""
        with self._slow_lock:
            return self._kept(tuple(sorted(values.items())))

    def _curves(self, values: tuple[tuple[str, float], ...]) -> list[dict[str, Any]]:
        state = solve_point(self._slow, self._point(dict(values)))
        return [curve_data(found) for found in self._benches.curves(state)]

    def run(self, values: Mapping[str, float], duration: float, changes: Sequence[str]) -> dict[str, Any]:
        """A run from rest at a point; where it stalls, as far as it went.  Errors: :class:`OilwayError`."""
        if not 0 < duration <= LONGEST:
            longest = quantity.show(LONGEST, "time", digits=0)
            raise InputError(Problem(Place("run"), f"on the page a run takes up to {longest}"))
        with self._slow_lock:
            machine, point = self._slow, self._point(values)
            read = [read_change(machine, text) for text in changes]
            done = run(machine, duration, read, point=point, step=duration / ROWS, partial=True)
            return run_data(moving_frames(done, point), done.events, complete=done.course.complete)

    def draw(
        self, key: str, values: Mapping[str, float], form: Format, units: Units, *, hatched: bool = False
    ) -> bytes:
        """A picture as a file.  Errors: as :func:`oilway.draw.pictures.pick` and :meth:`solve`."""
        named, state = pick(self.pictures, key), self.solve(values)
        with self._quick_lock:
            painted = paint(named.picture, state, full_scale(self.machine), units, hatched=hatched)
        return exported(named.picture, painted, form)

    def _point(self, values: Mapping[str, float]) -> dict[str, float]:
        return self.machine.point_of({**self.start, **values})


def _is_lesson(file: str) -> bool:
    return is_file(Path(file)) and is_lesson(Path(file))


class Session:
    """The file that was opened, and the sides that the page shows of it; both are read again as files change.

    Of a lesson, every variant is a side of its own name, and side a is the first of them.  What is ``taught`` is
    always a lesson: one is made for a file that is none.
    """

    def __init__(self, file: str, changes: Mapping[str, str] | None = None, *, taught: bool = False) -> None:
        self._opened, self._taught = (file, dict(changes or {})), taught
        self.lesson = open_lesson(*self._opened) if taught or _is_lesson(file) else None
        self.file = str(self.lesson.about) if self.lesson else file
        first = next(iter(self.lesson.changes.values())) if self.lesson else changes
        first = {**(changes or {}), **(first or {})}
        self._asked: dict[str, tuple[str, dict[str, str]]] = {"a": (self.file, first)}
        self.sides = self._read()
        self.broken: OilwayError | None = None
        self._lock = threading.Lock()  # the sides change together
        self._seen = self._stamps()

    @property
    def title(self) -> str:
        """Title of the lesson, or of the machine."""
        return self.lesson.title if self.lesson else self.sides["a"].machine.title

    def _read(self) -> dict[str, Side]:
        if self.lesson is None:
            return {name: Side(load(*asked)) for name, asked in self._asked.items()}
        sides = {name: Side(machine) for name, machine in self.lesson.machines.items()}
        others = {name: Side(load(*asked)) for name, asked in self._asked.items() if name != "a"}
        return {"a": next(iter(sides.values())), **sides, **others}

    def scene(self, name: str) -> dict[str, Any]:
        """SCENE of a side, with the lesson in it where one is open.  Errors: :class:`NoSolution`, no such side."""
        side = self.side(name)
        variants = [] if self.lesson is None else [v for v, m in self.lesson.machines.items() if m is side.machine]
        return lesson_scene(self.lesson, variants[0], side.scene()) if self.lesson and variants else side.scene()

    def side(self, name: str) -> Side:
        """Side a or b.  Errors: :class:`InputError` where there is none."""
        if name not in self.sides:
            raise InputError(Problem(Place("page"), f"there is no side '{name}' to look at"))
        return self.sides[name]

    def open(self, file: str) -> None:
        """Go on with another file; the next look at the files tells every page.

        Errors: :class:`OilwayError`, also while a class follows, and everything stays as it was.
        """
        if self._taught:
            what = "a class follows the file that is open"
            raise InputError(Problem(Place("page"), what, "end it, and open the other file for the class"))
        other = Session(file)
        with self._lock:
            self._opened, self.lesson, self.file = other._opened, other.lesson, other.file
            self._asked, self.sides = other._asked, other.sides
            self.broken, self._seen = None, {}

    def compare(self, changes: Mapping[str, str], file: str = "") -> Side:
        """Put the same file with changes, or another one, on side b.

        ``file`` is a shipped valve, or a file beside the one that is open.  Errors: :class:`InputError`.
        """
        asked = (self._beside(file) if file else self.file, {**self._asked["a"][1], **changes})
        if file:
            asked = asked[0], dict(changes)
        with self._lock:
            side = Side(load(*asked))
            self._asked["b"], self.sides["b"] = asked, side
            self._look_again(self._seen)
            return side

    def swaps(self) -> dict[str, Any]:
        """What side b could have instead, and how the side b was asked for that is there already."""
        file, changes = self._asked.get("b", ("", {}))
        asked = {"file": "" if file == self.file else Path(file).name, "changes": changes} if file else None
        return {"swaps": [asdict(swap) for swap in swaps(self.sides["a"].machine)], "b": asked}

    def _beside(self, file: str) -> str:
        folder = self.sides["a"].machine.path.parent
        known = {**{name: name for name in shipped_valves()}, **{p.name: str(p) for p in folder.glob("*.yaml")}}
        if file not in known:
            what = f"there is no '{file}' beside the open file, and no shipped valve of that name"
            raise InputError(Problem(Place("page"), what, did_you_mean(file, known)))
        return known[file]

    # -- live reload ---------------------------------------------------------------------------------------
    def reload_if_changed(self) -> bool:
        """Read all files again where one has changed; True when something is new: sides, or what is broken.

        A broken file leaves the last good machine where it is; ``broken`` then says what is wrong.
        """
        with self._lock:
            seen = self._stamps()
            if seen == self._seen:
                return False
            try:
                self.lesson = self.lesson and open_lesson(*self._opened)
                self.sides = self._read()
                self.broken = None
            except OilwayError as error:
                self.broken = error
            self._look_again(seen)
            return True

    def _look_again(self, seen: dict[Path, tuple[int, int]]) -> None:
        """Other files may count from here on; of the old ones, what was ``seen`` before they were read."""
        self._seen = {path: seen.get(path, stamp) for path, stamp in self._stamps().items()}

    def _stamps(self) -> dict[Path, tuple[int, int]]:
        """Time and size of every file that the machines are made of, and of what else lies beside them."""
        paths: set[Path] = set()
        for side in self.sides.values():
            paths |= {side.machine.path, *(m.valve.path for m in side.machine.mounted)}
        if self.lesson is not None:
            paths.add(self.lesson.path)
        if self.broken is not None:  # a file that it misses may come
            paths |= {p for path in list(paths) for p in path.parent.glob("*.y*ml")}
        found = {}
        for path in paths:
            try:
                stat = path.stat()
            except OSError:
                continue
            found[path] = (stat.st_mtime_ns, stat.st_size)
        return found
