"""Everything that stays while a slider moves, as one JSON object, and the frames that are painted into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from oilway import quantity
from oilway.draw.colours import HATCHES, STOPS
from oilway.draw.pictures import Named
from oilway.errors import InputError, NoSolution, OilwayError
from oilway.model.mount import Mounted
from oilway.solve.result import State
from oilway.study.about import about
from oilway.study.explain import named_points
from oilway.study.frame import Frame, channels
from oilway.study.handles import handles
from oilway.study.law_words import LAWS
from oilway.study.moving_frames import MovingFrames
from oilway.study.run import Event
from oilway.study.scale import full_scale
from oilway.study.valve_curves import ValveCurve

FORMAT = 1  # raised when a key changes its meaning


def scene(state: State, pictures: Sequence[Named]) -> dict[str, Any]:
    """The static part of a machine; ``state`` is any solved state of it, for its channels."""
    machine, columns = state.machine, channels(state)
    parts = about(machine, columns)
    return {
        "format": FORMAT,
        "title": machine.title,
        "kind": "valve" if machine.mounted and machine.mounted[0].prefix == "" else "machine",
        "file": machine.path.name,
        "units": unit_tables(),
        "scale": {"stops": list(STOPS), "hatches": HATCHES, "full": full_scale(machine)},
        "channels": [asdict(c) for c in columns],
        "handles": [asdict(h) for h in handles(machine)],
        "pictures": [picture_data(named) for named in pictures],
        "parts": {name: asdict(a) for name, a in parts.items()},
        "valves": {m.name: _valve(m) for m in machine.mounted},
        "laws": {
            word: {"form": LAWS[word].form, "source": LAWS[word].source}
            for word in sorted({law for part in parts.values() for law in part.laws})
        },
        "points": named_points(machine),
    }


def _valve(mounted: Mounted) -> dict[str, Any]:
    """A mounted valve: what it is, how it is set, and the name that leads those of its parts."""
    return {
        "title": mounted.valve.title,
        "prefix": mounted.prefix,
        "about": " ".join(mounted.valve.note.split()),
        "acts as": mounted.valve.acts_as,
        "setting": None
        if (setting := mounted.setting) is None
        else {
            "pressure": setting.pressure,
            "flow": setting.flow,
            "cracking": setting.cracking,
        },
        "adjuster": f"{mounted.adjuster}.turns" if mounted.adjuster else "",
        "file": mounted.valve.path.name,
    }


def unit_tables() -> dict[str, dict[str, Any]]:
    """How each kind of quantity is shown, in both systems of units."""
    return {units: {kind: _unit(kind, units) for kind in quantity.KINDS} for units in ("shop", "metric")}


def _unit(kind: str, units: quantity.Units) -> dict[str, Any]:
    of = quantity.KINDS[kind]
    name, decimals = of.display(units)
    offset = of.offsets.get(name, 0.0)
    return {
        "unit": name, "factor": of.units[name], "offset": offset, "decimals": decimals, "finer": of.finer,
    }  # fmt: skip


def picture_data(named: Named) -> dict[str, Any]:
    """A picture as plain data, not painted yet."""
    return {
        "key": named.key,
        "name": named.name,
        "sort": named.sort,
        "svg": named.picture.svg(),
        "bindings": [asdict(b) for b in named.picture.bindings],
        "notes": named.picture.notes,
    }


def frame_data(shown: Frame, seq: int) -> dict[str, Any]:
    """A frame as plain data."""
    return {"seq": seq, **asdict(shown)}


def problem_data(error: OilwayError, seq: int) -> dict[str, Any]:
    """Why there is no frame: what, what to try, and the part it is about where that is known."""
    what, hint, part = str(error), "", ""
    if isinstance(error, NoSolution):
        what, hint, part = error.what, error.hint, error.part
    elif isinstance(error, InputError):
        what, hint = error.problems[0].what, error.problems[0].hint
    return {"seq": seq, "problem": {"what": what, "hint": hint, "part": part}}


def broken_data(error: OilwayError) -> dict[str, Any]:
    """What is wrong with a file that has been changed, the first problem on top."""
    if not isinstance(error, InputError):
        return {"file": "", "line": 0, **problem_data(error, 0)["problem"], "more": []}
    said = [{"file": p.where.file, "line": p.where.line, "what": p.what, "hint": p.hint} for p in error.problems]
    return {**said[0], "more": said[1:]}


def run_data(shown: MovingFrames, events: list[Event], *, complete: bool) -> dict[str, Any]:
    """A run as plain data: a row of values for each time, and from which row on the words of the valves hold.

    Values have seven digits: more than any picture shows, and half the bytes.
    """
    words: list[tuple[int, dict[str, str]]] = []
    for k, row in enumerate(shown.frames):
        if not words or words[-1][1] != row.words:
            words.append((k, row.words))
    return {
        "times": shown.times,
        "values": [[float(f"{value:.7g}") for value in row.values] for row in shown.frames],
        "statuses": [row.statuses for row in shown.frames],
        "words": words,
        "findings": [row.findings for row in shown.frames],
        "events": [asdict(event) for event in events],
        "complete": complete,
    }


def curve_data(found: ValveCurve) -> dict[str, Any]:
    """A pressure-flow curve in SI, and the channels of the point that walks along it."""
    curve = found.curve
    return {
        "valve": found.valve,
        "adjuster": found.adjuster,
        "point": {"pressure": found.pressure, "flows out of": found.flows},
        "flows": curve.flows.tolist(),
        "rising": curve.rising.tolist(),
        "falling": curve.falling.tolist(),
        "cracking": curve.cracking,
        "cracking flow": curve.cracked_flow,
        "full": curve.full,
        "full flow": curve.full_flow,
        "override": curve.override,
        "reseating": curve.reseating,
        "notes": curve.notes,
    }
