"""Fit: the inside of one valve recovered from readings taken on a stand, with what those readings cannot tell.

Each row of a table (Q, P and what else was read) is a state of rest of the valve on its stand.  Weighted least
squares over the internals asked for, with exact slopes by the implicit function.
Source: M. A. Branch, T. F. Coleman and Y. Li, "A subspace, interior, and conjugate gradient method for large-scale
bound-constrained minimization problems", SIAM J. Sci. Comput. 21 (1999) 1-23, as in scipy's ``least_squares``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from oilway import quantity
from oilway.errors import InputError, NoSolution, Place, Problem, did_you_mean
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.point import pushed
from oilway.solve.steady import steady
from oilway.study.fit_more import Extra, extras, moved
from oilway.study.fit_rows import Row, places, rows_of
from oilway.study.instruments import Instrument
from oilway.study.noise import Noise
from oilway.study.rows import Table
from oilway.study.setting import on_setting_stand
from oilway.study.sites import Site, sites
from oilway.study.weigh import IMPLAUSIBLE, rarity

SURE = 1.959964  # standard deviations that hold 95 % of a bell curve
VAGUE = 0.5  # of a value: a 95 % interval wider to either side than this says next to nothing
ALIKE = 0.97  # correlation from which two internals are told as not told apart
FACTOR = 30.0  # how far from the file an internal is looked for
WIDEST = 200e-6  # m: the widest gap that is looked for
GAP_SCALE = 10e-6  # m
GAPS_TRIED = (0.3e-6, 2e-6, 6e-6, 20e-6)  # m
TRIES, MOST = 3, 40  # starts, and evaluations of each
GOOD = 1.8  # squared standard deviations a reading at which no other start is tried
# Internals that are looked for unless others are named: role of the part, record.
FALLING = "main part"  # its friction shows only where the table comes back down
USUAL = (
    ("adjuster", "turns"),
    ("adjuster", "rate"),
    ("main orifice", "diameter"),
    ("main spring", "compression"),
    ("pilot seat", "worn gap"),
    ("seat", "worn gap"),
    (FALLING, "dry friction"),
)
GAPS = ("worn gap", "clearance", "leak")


@dataclass(frozen=True)
class Recovered:
    """One internal: SI ``value``, and 95 % from ``low`` to ``high``; ``before`` is what the file says."""

    name: str
    kind: str
    value: float
    low: float
    high: float
    before: float

    @property
    def vague(self) -> bool:
        """Whether the readings say next to nothing of it."""
        return bool(self.high - self.low > 2 * VAGUE * abs(self.value)) and self.high - self.low > self._small

    @property
    def breadth(self) -> float:
        """Width of the interval over what the file says."""
        return (self.high - self.low) / max(abs(self.before), GAP_SCALE)

    @property
    def _small(self) -> float:
        return 2 * GAP_SCALE / 4 if self.kind == "length" and self.name.rpartition(".")[2] in GAPS else 0.0


@dataclass(frozen=True)
class Mixed:
    """Two internals that these readings cannot tell apart, and the one more reading that would help most."""

    first: str
    second: str
    correlation: float
    extra: Extra | None


@dataclass
class Fit:
    """``internals`` recovered, their ``correlation`` (k, k), which are ``mixed``, and how well the readings fit.

    ``held`` are those of the usual ones that the readings say next to nothing of: they stay as the file has them.
    ``left`` (n,) holds reading less model in standard deviations; ``rarity`` of a misfit as large by chance.
    """

    machine: Machine
    internals: list[Recovered]
    correlation: Vector
    mixed: list[Mixed]
    left: Vector
    rarity: float
    rows: list[Row]
    noise: Noise
    held: list[str] = field(default_factory=list)

    @property
    def fits(self) -> bool:
        """Whether what is left over is no larger than the noise makes it."""
        return self.rarity > IMPLAUSIBLE


@dataclass
class Model:
    """A valve on its stand, its rows and the internals looked for: readings as a function of scaled internals."""

    machine: Machine
    rows: list[Row]
    names: list[str]
    noise: Noise

    def __post_init__(self) -> None:
        system = self.machine.system
        self.columns = [system.parameters[name] for name in self.names]
        self.before = self.machine.theta()[self.columns]
        gaps = [name.rpartition(".")[2] in GAPS for name in self.names]
        self.gap = np.array(gaps, dtype=bool)
        self.scale = np.where(self.gap, GAP_SCALE, np.abs(self.before))
        self.values = np.array([v for row in self.rows for v in row.read.values()])
        covariance = self.noise.covariance([name for row in self.rows for name in row.read], self.values)
        self.spread = np.sqrt(np.diagonal(covariance))
        self.white = np.linalg.inv(np.linalg.cholesky(covariance))  # readings made independent, each of spread 1
        self.warm: list[Vector | None] = [None] * len(self.rows)
        self.adjuster = system.parameters.get(f"{self.machine.mounted[0].adjuster}.turns")

    def theta(self, row: Row, x: Vector) -> Vector:
        """Parameters of a row at scaled internals x (k,)."""
        th = pushed(self.machine.system, self.machine.theta(row.inputs), "open" if row.rising else "shut")
        th[self.columns] = x * self.scale
        if self.adjuster is not None:
            th[self.adjuster] += row.turned
        return th

    def shown(self, x: Vector) -> tuple[Vector, Vector]:
        """Readings (n,) and their slopes (n, k) at scaled internals x (k,).  Errors: :class:`NoSolution`."""
        system, out, slopes = self.machine.system, [], []
        for k, row in enumerate(self.rows):
            th = self.theta(row, x)
            z = self.warm[k] = steady(system, th, self.warm[k])
            at = [system.index[name] for name in row.read]
            out.append(z[at])
            slopes.append(moved(system, z, th, self.columns)[at] * self.scale)
        return np.concatenate(out), np.concatenate(slopes)

    def weighed(self, x: Vector) -> tuple[Vector, Vector]:
        """Model less reading in standard deviations, parted from what instruments share, and its slopes."""
        shown, slopes = self.shown(x)
        return self.white @ (shown - self.values), self.white @ slopes


def fit(
    machine: Machine,
    table: Table,
    names: list[str] | None = None,
    noise: float | None = None,
    instruments: Mapping[str, Instrument] | None = None,
) -> Fit:
    """Recover internals of a valve (alone, on its stand) from a table of readings.

    ``names`` are internals as 'part.record' (the usual ones unless given).  ``instruments`` by column say how far
    off readings may be, and each has an error that all of its readings share; ``noise``, one standard deviation as
    a share of a reading, goes before them where it is given.  Errors: :class:`InputError` for a column or internal
    that does not fit this valve, :class:`NoSolution` where the stand cannot be solved with any internals near.
    """
    bench = on_setting_stand(machine)
    rows = rows_of(bench, table)
    wanted = names_of(bench, names, back=any(not row.rising for row in rows))
    values = np.array([v for row in rows for v in row.read.values()])
    if len(values) < len(wanted):
        what = f"{len(values)} readings cannot tell {len(wanted)} internals"
        raise InputError(Problem(Place(table.file), what, "take more, or name fewer with --for"))
    model = Model(bench, rows, wanted, _noise(bench, table, noise, instruments or {}))
    whole = _told(model, _least(model))
    return whole if names else _without_vague(whole, model)


def _noise(bench: Machine, table: Table, share: float | None, instruments: Mapping[str, Instrument]) -> Noise:
    """A share of each reading where one is given, else the instruments as far as they are described."""
    if share is not None:
        return Noise(share)
    return Noise(instruments={at: instruments[c] for c, at in places(bench, table).items() if c in instruments})


def _without_vague(whole: Fit, model: Model) -> Fit:
    """The fit with what the readings say next to nothing of held as the file has it, the vaguest first."""
    result, held = whole, list[str]()
    while (vague := [item for item in result.internals if item.vague]) and len(result.internals) > 1:
        # An adjuster is turned, what it pushes on stays what it was built as: its turns are the last to be held.
        held.append(max(vague, key=lambda i: (not i.name.endswith(".turns"), i.breadth)).name)
        smaller = Model(model.machine, model.rows, [n for n in model.names if n not in held], model.noise)
        result = _told(smaller, _least(smaller))
    return replace(result, mixed=whole.mixed, held=held)


def _least(model: Model) -> Vector:
    """The scaled internals at the least sum of squares."""
    from scipy.optimize import least_squares

    seen: dict[bytes, tuple[Vector, Vector]] = {}

    def both(x: Vector) -> tuple[Vector, Vector]:
        key = x.tobytes()
        if key not in seen:
            seen.clear()
            seen[key] = model.weighed(x)
        return seen[key]

    low = np.where(model.gap, 0.0, 1 / FACTOR)
    high = np.where(model.gap, WIDEST / GAP_SCALE, FACTOR)
    tries = []
    for start in _starts(model, low, high):
        done = least_squares(
            lambda x: both(x)[0], start, jac=lambda x: both(x)[1], bounds=(low, high), x_scale="jac", max_nfev=MOST
        )
        tries.append((float(done.cost), np.asarray(done.x, dtype=float)))
        if 2 * done.cost < GOOD * len(model.values):
            break
    return min(tries, key=lambda item: item[0])[1]


def _starts(model: Model, low: Vector, high: Vector) -> list[Vector]:
    """Where to begin: the file's own internals with its gaps shut, and a little and further open; best first.

    A worn gap changes which part is open, and from the wrong side of that there is no slope to follow.
    """
    ranked: list[tuple[float, int, Vector]] = []
    for gap in GAPS_TRIED if model.gap.any() else (0.0,):
        x = np.clip(np.where(model.gap, gap / GAP_SCALE, model.before / model.scale), low + 1e-3, high)
        try:
            ranked.append((float((model.weighed(x)[0] ** 2).sum()), len(ranked), x))
        except NoSolution:
            continue
    if not ranked:
        raise NoSolution("the stand has no state of rest near these internals", hint="is this the right valve?")
    return [x for _, _, x in sorted(ranked)][:TRIES]


def _told(model: Model, x: Vector) -> Fit:
    left, slopes = model.weighed(x)
    covariance = np.linalg.pinv(slopes.T @ slopes, rcond=1e-14)
    sigma = np.sqrt(np.maximum(np.diagonal(covariance), 0.0))
    unseen = np.linalg.norm(slopes, axis=0) < 1e-9 * max(float(np.linalg.norm(slopes)), 1e-30)
    sigma = np.where(unseen, np.inf, sigma)
    size = np.where(np.isfinite(sigma) & (sigma > 0), sigma, 1.0)
    correlation = np.clip(covariance / np.outer(size, size), -1.0, 1.0)
    ends = [(x + way * _reach(model, x, sigma, way)) * model.scale for way in (-1.0, 1.0)]
    internals = [
        Recovered(name, _kind(model.machine, name), float(v), float(low), float(high), float(before))
        for name, v, low, high, before in zip(model.names, x * model.scale, *ends, model.before, strict=True)
    ]
    degrees = max(len(left) - len(x), 1)
    mixed = _mixed(model, x, slopes, correlation, internals)
    off = (model.values - model.shown(x)[0]) / model.spread
    misfit = rarity(float((left**2).sum()), degrees)
    return Fit(model.machine, internals, correlation, mixed, off, misfit, model.rows, model.noise)


def _reach(model: Model, x: Vector, sigma: Vector, way: float) -> Vector:
    """How far (k,) each scaled internal may be off one way, 95 %: by its slope, and further where that breaks off.

    A gap just wide enough to keep a part shut has a steep slope on one side and none on the other.  What is told
    is never less than it takes, all else as it is, for the misfit to grow by what 95 % allow.
    """
    found = SURE * sigma
    best = float((model.weighed(x)[0] ** 2).sum())
    for k in np.flatnonzero(model.gap & np.isfinite(sigma) & (sigma > 0)):
        room = x[k] if way < 0 else WIDEST / GAP_SCALE
        while found[k] < room and _misfit(model, x, int(k), way * found[k]) - best < SURE**2:
            found[k] = min(2 * found[k], room)
    return found


def _misfit(model: Model, x: Vector, k: int, off: float) -> float:
    moved_on = x.copy()
    moved_on[k] += off
    try:
        return float((model.weighed(moved_on)[0] ** 2).sum())
    except NoSolution:
        return np.inf


def _mixed(
    model: Model, x: Vector, slopes: Vector, correlation: Vector, internals: list[Recovered]
) -> list[Mixed]:
    """Pairs that change together, the vaguest direction first, each with the reading that would part them."""
    found = []
    for a in range(len(x)):
        for b in range(a + 1, len(x)):
            if abs(correlation[a, b]) >= ALIKE and (internals[a].vague or internals[b].vague):
                found.append((abs(float(correlation[a, b])), a, b))
    alone = [k for k, item in enumerate(internals) if item.vague and not any(k in pair[1:] for pair in found)]
    pairs: list[tuple[int, int]] = []
    for _, a, b in sorted(found, reverse=True):
        if not {a, b} <= {k for pair in pairs for k in pair}:  # what follows from others is not told again
            pairs.append((a, b))
    pairs += [(k, k) for k in alone]
    more = extras(model, x) if pairs else []
    told = []
    for a, b in pairs:
        best = max(more, key=lambda e, a=a, b=b: e.helps(slopes, a, b), default=None)  # type: ignore[misc]
        told.append(Mixed(model.names[a], model.names[b], float(correlation[a, b]), best))
    return told


def _kind(machine: Machine, name: str) -> str:
    owner, _, record = name.rpartition(".")
    return next(r.kind for r in machine.elements[owner].records if r.name == record)


# -- what is looked for, and how it is written -------------------------------------------------------------------
def names_of(bench: Machine, names: list[str] | None, *, back: bool = False) -> list[str]:
    """Full names of the internals looked for; ``back``: readings on falling flow too.  Errors:
    :class:`InputError`, did you mean.
    """
    known = bench.system.parameters
    if names:
        for name in names:
            if name not in known or "." not in name:
                hint = did_you_mean(name, [k for k in known if "." in k and not k.startswith(("oil.", "form."))])
                raise InputError(Problem(Place("fit"), f"this valve has no internal '{name}'", hint))
        return list(dict.fromkeys(names))
    found = []
    found_at: list[Site] = sites(bench)
    for role, record in USUAL if back else [pair for pair in USUAL if pair[0] != FALLING]:
        for site in found_at:
            name = f"{site.parts[0]}.{record}" if site.role == role and site.parts else ""
            if name in known and (record in GAPS or bench.theta()[known[name]] > 0):
                found.append(name)
    return list(dict.fromkeys(found))


def written(text: str, result: Fit, name: str) -> str:
    """A valve file's text with what was recovered in place of what it says, its setting left out.

    Errors: :class:`InputError` for an internal that stands in a valve inside this one.
    """
    from oilway.model.edit import with_value, without

    for item in result.internals:
        owner, _, record = item.name.rpartition(".")
        if "." in owner:
            what = f"'{item.name}' stands in a valve inside this one; write it under 'with'"
            raise InputError(Problem(Place(name), what, f'--change "{item.name}={said(item)}"'))
        text = with_value(text, ("parts", owner, record), said(item), name)
    return without(text, ("setting",), name) if "\nsetting:" in text else text


def said(item: Recovered) -> str:
    """A value as it is typed in a file: metric, as insides are written, with all the digits that count."""
    return quantity.show(item.value, item.kind, "metric", digits=_digits(item))


def _digits(item: Recovered) -> int:
    shown = abs(quantity.number(item.value, item.kind, "metric"))
    return 4 if shown == 0 else max(0, min(9, 4 - int(np.floor(np.log10(shown)))))
