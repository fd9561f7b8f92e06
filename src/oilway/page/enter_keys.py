"""The keys of a class, solved ahead of the paper in a thread, so that no verdict is waited for."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress

from oilway.errors import InputError, OilwayError, Place
from oilway.quantity import Units
from oilway.study.mark_class import printed_in, unknown_variant
from oilway.study.roster import Student
from oilway.study.worksheet_draw import Drawer, Variant

QUIET, LOOK = 2.0, 0.1  # s without a question before work ahead goes on; between two looks at that


class Keys:
    """Variants by student and code.  Models are shared: one solves at a time, and a person goes first."""

    def __init__(self, drawers: Mapping[Units, Drawer], units: Units) -> None:
        self.drawers, self.units = drawers, units
        self._kept: dict[tuple[str, str], Variant | OilwayError] = {}
        self._units: dict[tuple[str, str], Units] = {}
        self._door, self._busy, self._waiting = threading.Condition(), False, 0
        self._asked = time.monotonic() - QUIET  # when somebody last did, s
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self.of_class = 0

    @contextmanager
    def turn(self, *, ahead: bool = False) -> Iterator[None]:
        """Have the models for oneself; work done ``ahead`` waits for everybody else."""
        with self._door:
            self._waiting += not ahead
            while self._busy or (ahead and not self._quiet()):
                self._door.wait(LOOK)
            self._waiting -= not ahead
            self._busy = True
        try:
            yield
        finally:
            with self._door:
                self._busy = False
                if not ahead:
                    self._asked = time.monotonic()
                self._door.notify_all()

    def _quiet(self) -> bool:
        """Whether nobody asks: a sheet that is begun ahead while somebody types would hold the next answer up."""
        return self._stop.is_set() or (not self._waiting and time.monotonic() - self._asked >= QUIET)

    def of(self, student: Student, code: str) -> Variant:
        """The variant that bears a code; without one, that which is printed now.  Call it within a turn.

        Errors: :class:`InputError` for a code that no draw bears, and what drawing and solving raise; kept, too.
        """
        key = student.id, code
        if key not in self._kept:
            try:
                found = self._solved(student, code)
            except OilwayError as error:
                self._kept[key] = error
                raise
            self._kept[key] = self._kept[student.id, found.code] = found
        kept = self._kept[key]
        if isinstance(kept, OilwayError):
            raise kept
        return kept

    def _solved(self, student: Student, code: str) -> Variant:
        if code:
            printed = (drawer.printed(student, code) for drawer in self.drawers.values())
            found = next((variant for variant in printed if variant is not None), None)
        else:
            found = self.drawers[self.units].variant(student)
        if found is None:
            raise InputError(unknown_variant(Place(student.id), code, student))
        for item in found.items:
            _ = item.wrong  # solved now, not while somebody waits
        return found

    def any(self) -> Variant | None:
        """A sheet that is solved; none yet."""
        return next((kept for kept in list(self._kept.values()) if isinstance(kept, Variant)), None)

    def units_of(self, student: Student, code: str) -> Units:
        """The units of the sheet that bears a code."""
        if (student.id, code) not in self._units:
            self._units[student.id, code] = printed_in(self.drawers, student, code)
        return self._units[student.id, code]

    def bearer(self, code: str, students: Sequence[Student]) -> Student | None:
        """Whose sheet bears a code; nothing is solved."""
        for student in students:
            if any(drawer.bears(student, code) is not None for drawer in self.drawers.values()):
                return student
        return None

    # -- ahead ---------------------------------------------------------------------------------------------
    def start(self, sheets: Sequence[tuple[Student, str]]) -> None:
        """Solve these sheets ahead, in a thread."""
        self.of_class = len(sheets)
        self._thread = threading.Thread(target=self._ahead, args=(list(sheets),), daemon=True)
        self._thread.start()

    def _ahead(self, sheets: list[tuple[Student, str]]) -> None:
        for student, code in sheets:
            with self.turn(ahead=True), suppress(OilwayError):  # kept, and told to whoever opens this sheet
                if self._stop.is_set():
                    return
                self.of(student, code)

    def stop(self) -> None:
        """End the work ahead after the sheet it is at."""
        self._stop.set()

    def ready(self) -> int:
        """How many students' sheets are solved, or known not to be."""
        return len({student for student, _ in list(self._kept)})
