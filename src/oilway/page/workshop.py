"""The workshop of the page: a machine or a valve put together in forms, and kept as the text file it is.

The text is the truth: the page sends it with one change, and gets it back changed, with what is wrong with it by
line.  Every comment stays.  Files are written into the folder of the file that is open, and nowhere else.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from oilway import loads
from oilway.errors import InputError, OilwayError, Place, Problem, did_you_mean
from oilway.files import write_whole
from oilway.model.catalogue import shipped_valves
from oilway.model.edit import with_part, with_value, without
from oilway.model.forms import forms, head_forms, valve_form, valve_forms
from oilway.model.tree import Block, Text, read_text
from oilway.model.valve import read_valve
from oilway.page.workshop_places import located
from oilway.study.story import examples

NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]{0,60}\.yaml")
BLANK = """\
# A machine of your own.  Every line that begins with '#' is a note and stays as you write it.
format: 1
machine: my machine

oil:
  grade: ISO VG 46
  viscosity index: 100
  temperature: 120 F

parts:
  tank: {kind: tank, pressure: 0 psi}
  pump line: {kind: chamber, volume: 0.8 L}
  pump: {kind: fixed pump, inlet: tank, outlet: pump line, displacement: 30 cc/rev, engine speed: 2000 rpm}
  main relief: {kind: valve, valve: direct relief, P: pump line, T: tank}
"""
BLANK_VALVE = """\
# A valve from your bench.  Cut it in your mind: the chambers, the part that moves, the faces that oil presses on,
# the spring, the seat, and the passages between the chambers.
format: 1
valve: my relief
acts as: relief

ports:
  P: {chamber: inlet, role: inlet}
  T: {chamber: outlet, role: outlet}

adjuster: spring
rated flow: 10 gpm

parts:
  inlet: {kind: chamber, volume: 20 cm3}
  spring chamber: {kind: chamber, volume: 10 cm3}
  outlet: {kind: chamber, volume: 20 cm3}
  poppet: {kind: moving part, mass: 70 g, travel: 3 mm, viscous friction: 300 N s/m}
  inlet face: {kind: face, on: poppet, chamber: inlet, diameter: 11 mm, pushes: open}
  spring face: {kind: face, on: poppet, chamber: spring chamber, diameter: 11 mm, pushes: shut}
  spring: {kind: spring, on: poppet, rate: 250 N/mm, pitch: 0.75 mm/turn, turns: 6 turns, most turns: 12 turns}
  seat: {kind: poppet seat, on: poppet, from: inlet, to: outlet, diameter: 11 mm, half angle: 45 deg}
  drain passage: {kind: orifice, from: spring chamber, to: outlet, diameter: 2.5 mm}
"""
BARE_VALVE = """\
# A valve from your bench, part by part.  Begin with two chambers, one at each port.
format: 1
valve: my valve
acts as: relief

ports:
  P: {chamber: inlet, role: inlet}
  T: {chamber: outlet, role: outlet}

rated flow: 10 gpm

parts:
  inlet: {kind: chamber, volume: 20 cm3}
  outlet: {kind: chamber, volume: 20 cm3}
"""
BLANKS = {
    "a blank machine": BLANK,
    "a valve, part by part": BARE_VALVE,
    "a blank relief valve": BLANK_VALVE,
}


class Workshop:
    """What the forms of the page are made from, and the one place that files are written to."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def forms(self) -> dict[str, Any]:
        """The forms of all kinds of part and of all valves, and what one may start from."""
        own = [valve_form(p.name, read_valve(p)) for p in self._files() if _is_valve(p)]
        return {
            "heads": {form.kind: asdict(form) for form in head_forms()},
            "parts": [asdict(form) for form in forms()],
            "valves": [asdict(form) for form in (*valve_forms(), *own)],
            "start from": [*BLANKS, *(p.name for p in _shipped()), *shipped_valves()],
            "files": [p.name for p in self._files()],
        }

    def start(self, name: str) -> dict[str, Any]:
        """The text of a blank, an example, a shipped valve or a file of the folder.  Errors: no such thing."""
        if name in BLANKS:
            return self.seen(BLANKS[name])
        files = {p.name: p for p in (*_shipped(), *self._files())} | shipped_valves()
        if name not in files:
            raise InputError(
                Problem(Place("start"), f"there is no '{name}' to start from", did_you_mean(name, files))
            )
        text = files[name].read_text(encoding="utf-8")
        return {**self.seen(text), "was": _mark(text) if files[name].parent == self.folder else ""}

    def seen(self, text: str) -> dict[str, Any]:
        """A text, what is in it, and what is wrong with it: by line, and by path of keys where that is known."""
        problems: list[Problem] = []
        try:
            loads(text, "this file", self.folder)
        except InputError as err:
            problems = err.problems
        except OilwayError as err:
            problems = [Problem(Place("this file"), str(err))]
        try:
            tree = read_text(text, "this file")
        except InputError:
            tree = Block(Place("this file"))
        said = [{"line": p.where.line, "what": p.what, "hint": p.hint, "path": located(tree, p)} for p in problems]
        return {"text": text, "tree": _plain(tree), "problems": said}

    def changed(self, text: str, do: Mapping[str, Any]) -> dict[str, Any]:
        """The text after one change: ``set`` a path to a ``value``, ``add`` a part with ``keys``, or ``remove``.

        Errors: :class:`InputError` for a change that cannot be made.
        """
        path = [str(key) for key in do.get("path", [])]
        what = do.get("what")
        if what == "set" and path:
            return self.seen(with_value(text, path, str(do.get("value", "")), "this file"))
        if what == "add" and isinstance(do.get("keys"), Mapping):
            keys = {str(k): str(v) for k, v in do["keys"].items() if str(v).strip()}
            return self.seen(with_part(text, str(do.get("name", "")).strip(), keys, "this file"))
        if what == "remove" and path:
            return self.seen(without(text, path, "this file"))
        raise InputError(Problem(Place("this file"), f"'{what}' is no change", "set, add or remove"))

    def save(self, name: str, text: str, was: str = "") -> dict[str, Any]:
        """Write a file of the folder.

        A file that is there already is only replaced when ``was`` is the mark of what it holds: nothing that
        somebody else has written meanwhile is lost.  Errors: :class:`InputError`; nothing is written then.
        """
        path = self.path(name)
        if path.exists() and _mark(path.read_text(encoding="utf-8", errors="replace")) != was:
            what = f"there is a '{name}' already, and it is not the one this page has read"
            raise InputError(Problem(Place(name), what, "choose another name, or open that file first"))
        write_whole(path, text)
        return {"saved": name, "was": _mark(text)}

    def path(self, name: str) -> Path:
        """The path of a file of the folder.  Errors: :class:`InputError` for a name that leads elsewhere."""
        if not NAME.fullmatch(name):
            hint = "letters, figures, blanks, '-' and '_', then '.yaml'"
            raise InputError(Problem(Place("save"), f"'{name}' is no name for a file here", hint))
        return self.folder / name

    def _files(self) -> list[Path]:
        return sorted(self.folder.glob("*.yaml"))


def _shipped() -> list[Path]:
    return sorted(examples().glob("*.yaml"))


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _is_valve(path: Path) -> bool:
    try:
        tree = read_text(path.read_text(encoding="utf-8"), path.name)
        return "valve" in tree.items and bool(read_valve(path))
    except (OSError, ValueError, InputError):
        return False


def _plain(block: Block) -> dict[str, Any]:
    """A tree as nested texts; lists are left to the text."""
    found: dict[str, Any] = {}
    for key, value in block.items.items():
        if isinstance(value, Block):
            found[key] = _plain(value)
        elif isinstance(value, Text):
            found[key] = value.text
    return found
