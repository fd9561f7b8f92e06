"""The pictures of a machine: a cutaway of each valve in it, and its circuit."""

from __future__ import annotations

from dataclasses import dataclass, field

from oilway.draw.picture import Picture
from oilway.model.machine import Machine


@dataclass(frozen=True)
class Named:
    """A picture with its place among the others: ``sort`` is ``cutaway`` or ``circuit``."""

    key: str
    name: str
    sort: str
    picture: Picture
    notes: list[str] = field(default_factory=list)


def pictures(machine: Machine) -> list[Named]:
    """All pictures of a machine, the circuit first; of a valve alone its cutaway first."""
    picture = Picture(machine.title, 900, 80 + 60 * len(machine.system.chambers), "circuit")
    for i, chamber in enumerate(machine.system.chambers):
        box = picture.add(None, "rect", x=20, y=60 + 60 * i, width=300, height=50, stroke="#1a1a1a")
        picture.bind(box, "fill", f"pressure:{chamber}")
        picture.touchable(box, chamber)
        picture.text(None, 340, 92 + 60 * i, chamber, 20, text_anchor="start")
        picture.number(None, 170, 85 + 60 * i, f"pressure:{chamber}")
    return [Named("circuit", "circuit", "circuit", picture)]
