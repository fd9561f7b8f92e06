"""Oil that is shut in: which chambers no balance fixes, and at what pressure their oil is taken to stand.

Such a chamber can stand anywhere between two pressures at which something opens: a check lets oil in, a poppet
lets it out, a load sinks on it.  A solve may stop on such an edge, a hair inside or outside of it, so both sides
are looked at; and of all pressures that are possible the one nearest to what the file gives under ``trapped``,
or to 0, is taken.  The state then depends on the machine only, not on the way that led to it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache

import numpy as np

from oilway.model.system import System, Vector
from oilway.solve.steady import ROUNDED_FROM

NULL = 1e-12  # relative singular value below which a direction of the unknowns is not fixed by any balance
TAKES_PART = 1e-6
# How far beside a state is looked: by so much oil (kg/s, laminar in any hole, 10,000 times what a residual leaves
# undetermined), or so much pressure (Pa), whichever is less.
NUDGE, NUDGED = 1e-6, 1e3
LINEAR = 0.3  # share of a nudge's residual that may differ from the straight law before a place is looked at
OPENS = 1e-8  # scaled (kg/s): more than this left over means that something has opened
HAIR = 0.1 * OPENS  # and less than this is rounding
BAND = 1e6  # Pa: dry friction alone holds a load within a few bar of its pressure; that oil is not just anywhere
TRIALS = 60  # for the edge at which something opens; halving alone takes 50


def isolated_chambers(system: System, z: Vector, th: Vector) -> list[str]:
    """Chambers whose pressure no balance fixes: shut off on all sides, with nothing leaking."""
    return _owners(system, unfixed(system, free_directions(system, z, th)))


def free_directions(system: System, z: Vector, th: Vector) -> Vector:
    """Directions (k, n) of the scaled unknowns in which nothing changes any balance."""
    return _split(system.scaled(z, th)[1])[0]


def unfixed(system: System, free: Vector) -> list[int]:
    """The pressures that take part in a free direction."""
    if not len(free):
        return []
    share = np.abs(free).max(axis=0)
    return [k for k, u in enumerate(system.unknowns) if u.kind == "pressure" and share[k] > TAKES_PART]


def _owners(system: System, numbers: list[int]) -> list[str]:
    return [system.unknowns[k].owner for k in numbers]


def _split(jacobian: Vector) -> tuple[Vector, Vector]:
    """Free directions (k, n), and the inverse (n, n) in all others."""
    if not jacobian.size:
        return np.zeros((0, 0)), np.zeros((0, 0))
    left, sizes, directions = np.linalg.svd(jacobian)
    fixed = sizes >= NULL * max(float(sizes[0]), 1.0)
    return directions[~fixed], (directions[fixed].T / sizes[fixed]) @ left[:, fixed].T


def off_edges(system: System, z: Vector, th: Vector, again: Callable[[Vector], Vector]) -> tuple[Vector, bool]:
    """A state of rest on no edge, z itself where it is on none, and whether there is oil shut in.

    On the edge where a check or a poppet just opens, oil that is shut in seems fixed when the solve stopped on the
    outer side.  Each chamber that no oil goes through is given a little oil, and robbed of a little: where the
    balances do not follow the straight law they have at z, one side is shut.  ``again`` solves from a place there.
    """
    f, jacobian = system.scaled(z, th)
    f = f.copy()
    free, inverse = _split(jacobian)
    found = unfixed(system, free)
    still = _still(system, z, th)
    nudges = {k: _nudge(system, inverse, k) for k in still}
    if not any(_bends(system, z, th, f, inverse, nudges, sign) for sign in (1.0, -1.0)):
        return z, bool(found)
    for k in still:
        for sign in (1.0, -1.0) if k not in found else ():
            if not _bends(system, z, th, f, inverse, {k: nudges[k]}, sign):
                continue
            beside = z + sign * nudges[k] * inverse[:, k] * system.scale
            if k in unfixed(system, free_directions(system, beside, th)):
                z = again(beside)
                f, jacobian = system.scaled(z, th)
                f = f.copy()
                free, inverse = _split(jacobian)
                found = unfixed(system, free)
                break
    return z, bool(found)


def _still(system: System, z: Vector, th: Vector) -> list[int]:
    """Pressures of chambers that no oil goes into or out of, by number of the unknown."""
    terms = system.ledger_column(z, th)[: len(system.terms)]
    through = _at_chambers(system) @ np.abs(terms)
    return [k for k, u in enumerate(system.unknowns) if u.kind == "pressure" and through[k] < ROUNDED_FROM]


@lru_cache(maxsize=8)
def _at_chambers(system: System) -> Vector:
    """Which terms (t) are flows into or out of the chamber of an unknown (n)."""
    rows = {u.owner: k for k, u in enumerate(system.unknowns) if u.kind == "pressure"}
    out = np.zeros((system.size, len(system.terms)))
    for column, term in enumerate(system.terms):
        if term.sort == "flow" and term.place in rows:
            out[rows[term.place], column] = 1.0
    return out


def _nudge(system: System, inverse: Vector, k: int) -> float:
    """How much oil (scaled) a chamber is given."""
    reach = float(np.abs(inverse[k, k])) * system.scale[k]
    return min(NUDGE / system.row_scale[k], NUDGED / reach) if reach > 0 else 0.0


def _bends(
    system: System, z: Vector, th: Vector, f: Vector, inverse: Vector, nudges: dict[int, float], sign: float
) -> bool:
    """Whether some balance leaves the straight law when chambers are given oil (``sign`` -1: robbed of it)."""
    # Not all alike: what lies between two of them would not notice.
    given = np.zeros(len(z))
    for place, (k, nudge) in enumerate(nudges.items()):
        given[k] = sign * nudge * (1.0 - 0.618 * place % 0.5)
    off = system.scaled(z + inverse @ given * system.scale, th)[0] - f - given
    return bool(np.abs(off).max() > LINEAR * min(filter(None, nudges.values()), default=np.inf))


def at_trapped(
    system: System, z: Vector, th: Vector, trapped: Mapping[str, float], again: Callable[[Vector], Vector]
) -> tuple[Vector, list[str]]:
    """z with its shut-in oil as near as can be to the pressures trapped, and the chambers that nothing fixes.

    One chamber after the other is moved along its free directions.  Two ends of a cylinder under load change
    together, so only one of them can be given: one named under ``trapped`` comes first, else the one that needs
    the least change to stand at 0.  What dry friction alone holds within ``BAND`` is moved, but counts as fixed.
    """
    scaled, isolated, flows = _all_moved(system, z, th, trapped, jump=True)
    if flows:
        # With other oil flowing by, edges lie elsewhere.
        z, _ = off_edges(system, again(scaled * system.scale), th, again)
        scaled, isolated, _ = _all_moved(system, z, th, trapped, jump=False)
    return scaled * system.scale, [name for name in system.chambers if name in isolated]


def _all_moved(
    system: System, z: Vector, th: Vector, trapped: Mapping[str, float], *, jump: bool
) -> tuple[Vector, set[str], bool]:
    """Unknowns (scaled) moved to the pressures trapped, what is isolated, and whether other oil flows otherwise.

    ``jump``: oil on which other flows depend is put to its pressure at once; else it stays.
    """
    still, isolated, flows = set(_still(system, z, th)), set[str](), False
    free, scaled, here = free_directions(system, z, th), z / system.scale, system.scaled(z, th)[0].copy()
    while len(free) and (open_ones := unfixed(system, free)):
        owners = {k: system.unknowns[k].owner for k in open_ones}
        move = {k: trapped.get(o, 0.0) / system.scale[k] - scaled[k] for k, o in owners.items()}
        along = {k: free.T @ free[:, k] / (free[:, k] @ free[:, k]) for k in owners}
        reach = {k: abs(move[k]) * float(np.abs(along[k]).max()) for k in owners}
        chosen = min(owners, key=lambda k: (owners[k] not in trapped, reach[k]))
        way, with_it = move[chosen] * along[chosen], unfixed(system, along[chosen][None])
        share = _as_far(system, scaled, way, th, here) if still.issuperset(with_it) else 0.0
        moved = scaled + share * way
        if share < 1.0 and chosen in unfixed(system, free_directions(system, moved * system.scale, th)):
            # No end of it: a moving part takes its lift from this oil, and other oil flows by it.
            isolated.update(_owners(system, with_it))
            scaled, flows = (scaled + way, True) if jump else (scaled, flows)
        else:
            scaled = moved
            far = _far_from_fixed(system, scaled, along[chosen], th, here)
            isolated.update(_owners(system, with_it) if far else ())
        # What is left: the directions that do not change the chamber just set.
        free = np.linalg.svd(free[:, [chosen]].T)[2][1:] @ free
    return scaled, isolated, flows


def _far_from_fixed(system: System, scaled: Vector, along: Vector, th: Vector, here: Vector) -> bool:
    """Whether shut-in oil could stand elsewhere along a direction, by ``BAND`` or without an end."""
    pressures = np.array([u.kind == "pressure" for u in system.unknowns])
    aside = BAND / float(np.abs(along * system.scale)[pressures].max()) * along
    for move in (aside, -aside):
        share = _as_far(system, scaled, move, th, here)
        if share == 1.0:
            return True
        end = (scaled + share * move) * system.scale
        if set(unfixed(system, along[None])) & set(unfixed(system, free_directions(system, end, th))):
            return True
    return False


def _as_far(system: System, scaled: Vector, move: Vector, th: Vector, here: Vector) -> float:
    """The share of a move of shut-in oil that opens nothing, and a hair more where something opens on the way.

    ``here``: what the solve has left over of the balances, which such a move leaves as it is.
    There the edge itself fixes the pressure, and how it goes with the machine can be asked.  Newton from where it
    is open, along the move, kept between what is known to be open and shut.
    """
    shut, wide, share = 0.0, np.inf, 1.0
    for _ in range(TRIALS):
        f, jacobian = system.scaled((scaled + share * move) * system.scale, th)
        f = f - here
        worst = int(np.argmax(np.abs(f)))
        left = abs(float(f[worst]))
        if left <= OPENS and (share == 1.0 or left > HAIR):
            return share
        shut, wide = (share, wide) if left <= OPENS else (shut, share)
        slope = abs(float(jacobian[worst] @ move))
        ahead = share - (left - 0.5 * OPENS) / slope if slope and left > OPENS else -1.0
        share = ahead if shut < ahead < wide else 0.5 * (shut + wide)
    return shut
