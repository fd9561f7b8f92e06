"""The catalogue: which kinds of element and which shipped valves there are."""

from __future__ import annotations

from pathlib import Path

from oilway.elements.accumulator import Accumulator
from oilway.elements.base import Element
from oilway.elements.chamber import Chamber
from oilway.elements.check_valve import CheckValve
from oilway.elements.compensated_pump import CompensatedPump
from oilway.elements.cooler import Cooler
from oilway.elements.cylinder import Cylinder
from oilway.elements.face import Face
from oilway.elements.filter import Filter
from oilway.elements.fixed_pump import FixedPump
from oilway.elements.flow_control import FlowControl
from oilway.elements.flow_meter import FlowMeter
from oilway.elements.gap import AnnularGap
from oilway.elements.gauge import Gauge
from oilway.elements.hose import Hose
from oilway.elements.lever import Lever
from oilway.elements.line import Line
from oilway.elements.linkage import Linkage
from oilway.elements.load import Load
from oilway.elements.load_sensing_pump import LoadSensingPump
from oilway.elements.motor import Motor
from oilway.elements.moving_part import MovingPart
from oilway.elements.orifice import Orifice
from oilway.elements.poppet_seat import PoppetSeat
from oilway.elements.shuttle import Shuttle
from oilway.elements.spool_edge import SpoolEdge
from oilway.elements.spring import Spring
from oilway.elements.stand import TestLoad, TestPump
from oilway.elements.tank import Tank

ELEMENTS: tuple[type[Element], ...] = (
    Tank,
    Chamber,
    Line,
    Hose,
    Orifice,
    AnnularGap,
    MovingPart,
    Face,
    Spring,
    PoppetSeat,
    SpoolEdge,
    Lever,
    CheckValve,
    Shuttle,
    FlowControl,
    Filter,
    Cooler,
    FixedPump,
    CompensatedPump,
    LoadSensingPump,
    Cylinder,
    Load,
    Linkage,
    Motor,
    Accumulator,
    Gauge,
    FlowMeter,
    TestPump,
    TestLoad,
)
VALVES = Path(__file__).resolve().parent.parent / "valves"
# What a reference record may name: sort -> kinds of part.
REFERS = {
    "moving part": ("moving part",),
    "moving part or lever": ("moving part", "lever"),
    "cylinder": ("cylinder",),
}


def kinds() -> dict[str, type[Element]]:
    """All element kinds by the name used in files, in the order of a lesson."""
    return {element.kind: element for element in ELEMENTS}


def shipped_valves() -> dict[str, Path]:
    """Shipped valve files by name ("direct relief")."""
    return {path.stem.replace("_", " "): path for path in sorted(VALVES.glob("*.yaml"))}


def is_file(path: Path) -> bool:
    """Whether a file stands there; a name that no system accepts is no file."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def find_valve(name: str, beside: Path | None) -> Path | None:
    """The file of a valve: a path beside the naming file, or the name of a shipped one; None if neither."""
    if name.endswith((".yaml", ".yml")):
        path = Path(name) if beside is None or Path(name).is_absolute() else beside / name
        return path if is_file(path) else None
    return shipped_valves().get(name.replace("_", " ").strip().lower())
