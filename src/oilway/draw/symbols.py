"""What every symbol of a circuit is: a box on a grid, its mouths, and a pen that draws from its upper left corner.

The symbols follow the basic rules of ISO 1219-1 (squares of valves, arrows in them, springs, dashed pilot lines,
dash-dot enclosures), drawn by hand from those rules; proportions are our own (common practice).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree as ET

from oilway.draw.picture import INK, PAPER, UNIT, Picture

GRID = 20  # px: mouths stand on it, lines run on it
NAME, NUMBER = 18, 22  # px: size of names and of numbers
LARGE = 24  # px: a larger number is for the back of the room
# Width of a letter over its size, at least what the usual fonts of screens take, so that nothing touches.
SLIM, PLAIN, CAPITAL, WIDE = 0.42, 0.64, 0.79, 1.0
SLIM_LETTERS, WIDE_LETTERS = "ijlIftr .,:;'|!()[]-/", "mwMW%@"
LEAST_FLOW, FULL_FLOW = 1e-7, 2e-3  # m3/s: the arrows of a circuit, from a trickle to 32 gpm
WAYS = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
Point = tuple[float, float]
Rect = tuple[float, float, float, float]  # corner, width, height


@dataclass(frozen=True)
class Mouth:
    """Where a line meets a symbol: px from its corner, the side it leaves by, the chamber there.

    ``thin`` for pilot, drain and signal lines; ``flow`` is the channel of the flow there, ``inward`` whether it
    counts into the symbol, ``numbered`` whether its number is shown.
    """

    port: str
    x: int
    y: int
    side: str
    chamber: str
    thin: bool = False
    flow: str = ""
    inward: bool = True
    numbered: bool = False


@dataclass
class Symbol:
    """A symbol of one part (or mounted valve): its size in px with all its words, and how to draw it.

    ``place`` says where it belongs: ``pump``, ``actuator``, ``down`` (oil runs down through it, towards a tank or
    back towards the pump), ``gauge``, or ``up``.  ``beside`` names the symbol in whose row it stands, ``pads`` is
    room kept free at its left and right, ``turned`` the same symbol upside down where it may stand so.
    """

    name: str
    width: int
    height: int
    mouths: list[Mouth]
    draw: Callable[[Pen], None]
    place: str = "up"
    beside: str = ""
    pads: tuple[int, int] = (0, 0)
    turned: Symbol | None = None
    x: int = field(default=0, compare=False)
    y: int = field(default=0, compare=False)

    def turn(self) -> None:
        """Stand upside down from now on."""
        if self.turned is not None:
            self.mouths, self.draw, self.turned = self.turned.mouths, self.turned.draw, None

    def at(self, mouth: Mouth) -> Point:
        """Where a mouth stands in the picture."""
        return self.x + mouth.x, self.y + mouth.y


class Pen:
    """Draws into one group of a picture."""

    def __init__(self, picture: Picture, group: ET.Element) -> None:
        self.picture, self.group = picture, group

    def inside(self, **attributes: Any) -> Pen:
        """A pen for a group within this one."""
        return Pen(self.picture, self.picture.add(self.group, "g", **attributes))

    def path(self, d: str, width: float = 3, **attributes: Any) -> ET.Element:
        """A path that is only a line unless ``fill`` says otherwise."""
        given = {"fill": "none", "stroke": INK, "stroke_width": width, "stroke_linejoin": "round", **attributes}
        return self.picture.add(self.group, "path", d=d, **given)

    def line(self, *points: Point, dashed: bool = False, width: float = 3) -> ET.Element:
        """A line through points; dashed for a pilot or drain line."""
        more = {"stroke_dasharray": "7 5"} if dashed else {}
        return self.path("M" + "L".join(f"{x:g} {y:g}" for x, y in points), 2 if dashed else width, **more)

    def box(self, x: float, y: float, width: float, height: float, **attributes: Any) -> ET.Element:
        """A rectangle, white unless ``fill`` says otherwise."""
        given = {"fill": PAPER, "stroke": INK, "stroke_width": 3, **attributes}
        return self.picture.add(self.group, "rect", x=x, y=y, width=width, height=height, **given)

    def enclosure(self, x: float, y: float, width: float, height: float) -> ET.Element:
        """The dash-dot line round functions in one body."""
        return self.box(x, y, width, height, stroke_width=1.5, stroke_dasharray="14 4 3 4")

    def circle(self, x: float, y: float, r: float, **attributes: Any) -> ET.Element:
        """A circle, white unless ``fill`` says otherwise."""
        given = {"fill": PAPER, "stroke": INK, "stroke_width": 3, **attributes}
        return self.picture.add(self.group, "circle", cx=x, cy=y, r=r, **given)

    def head(self, x: float, y: float, way: Point, size: float = 12, *, open_: bool = False) -> ET.Element:
        """An arrow head (or the triangle of a pump) with its tip at (x, y), pointing along ``way``."""
        length = math.hypot(*way)
        ux, uy = way[0] / length, way[1] / length
        bx, by, w = x - size * ux, y - size * uy, 0.42 * size
        d = f"M{x:.4g} {y:.4g}L{bx - w * uy:.4g} {by + w * ux:.4g}L{bx + w * uy:.4g} {by - w * ux:.4g}Z"
        return self.path(d, 1.5, fill=PAPER if open_ else INK)

    def arrow(self, a: Point, b: Point, size: float = 12) -> None:
        """A line with a head at its end."""
        length = math.hypot(b[0] - a[0], b[1] - a[1])
        way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        self.line(a, (b[0] - 0.8 * size * way[0], b[1] - 0.8 * size * way[1]), width=2.5)
        self.head(*b, way, size)

    def spring(self, x: float, y: float, length: float = 32, *, adjustable: bool = False) -> None:
        """A spring along x from (x, y), its slanted arrow across where somebody turns it."""
        steps = 6
        points = [
            (x + length * i / steps, y + (0 if i in (0, steps) else 9 if i % 2 else -9)) for i in range(steps + 1)
        ]
        self.line(*points, width=2.5)
        if adjustable:
            self.arrow((x + 2, y + 20), (x + length - 2, y - 22), 11)

    def words(self, x: float, y: float, lines: Sequence[str], size: float = NAME, **attributes: Any) -> None:
        """Lines of text under each other, the first with its base line at y."""
        for i, line in enumerate(lines):
            self.picture.text(
                self.group, x, y + 1.2 * size * i, line, size, **{"text_anchor": "start", **attributes}
            )

    def number(self, x: float, y: float, channel: str, kind: str, size: float = NUMBER, **attributes: Any) -> None:
        """A number that follows a channel, without a plate; beside a large one the unit is small."""
        given = {"text_anchor": "start", "font_weight": "bold", **attributes}
        small = {"unit_size": round(UNIT * size)} if size > LARGE else {}
        text = self.picture.text(self.group, x, y, "", size, **given)
        self.picture.bind(text, "text", channel, kind=kind, **small)


def width_of(words: str, size: float = NAME) -> int:
    """Room for words in px, up to the next line of the grid."""
    return up(length_of(words, size))


def length_of(words: str, size: float) -> float:
    """How long words are at most, in px."""
    return size * sum(map(_letter, words))


def _letter(letter: str) -> float:
    if letter in SLIM_LETTERS:
        return SLIM
    if letter in WIDE_LETTERS or not letter.isascii():
        return WIDE
    return PLAIN if letter.islower() or letter.isdigit() else CAPITAL


def up(length: float) -> int:
    """A length up to the next line of the grid."""
    return GRID * math.ceil(length / GRID)


def wrapped(words: str, most: int = 14) -> list[str]:
    """Words in lines of at most so many letters, where blanks allow it."""
    lines: list[str] = []
    for word in words.split():
        if lines and len(lines[-1]) + 1 + len(word) <= most:
            lines[-1] += " " + word
        else:
            lines.append(word)
    return lines or [""]


def widest(lines: Sequence[str], size: float = NAME) -> int:
    """Room for the longest of some lines in px."""
    return max(width_of(line, size) for line in lines)
