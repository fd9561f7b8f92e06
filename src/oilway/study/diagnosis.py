"""The whole answer to a few readings: what is left, what is ruled out, which test is next, and what is not
safe.
"""

from __future__ import annotations

from dataclasses import dataclass

from oilway.study.dictionary import Bench, Dictionary
from oilway.study.find import Found, find
from oilway.study.find_readings import Reading
from oilway.study.next_test import Proposal, Refused, proposals
from oilway.study.pairs import Pair, pairs
from oilway.study.weigh import IMPLAUSIBLE

CERTAIN = 0.95  # probability of one cause from which no further test is looked for


@dataclass
class Diagnosis:
    """``found`` of single faults, ``pairs`` where none of them explains the readings, and the next tests."""

    found: Found
    pairs: list[Pair]
    proposals: list[Proposal]
    refused: list[Refused]

    @property
    def explained(self) -> bool:
        """Whether one fault, a wrong instrument or a pair of faults explains the readings."""
        return self.found.explained or any(pair.rarity > IMPLAUSIBLE for pair in self.pairs)

    @property
    def certain(self) -> bool:
        """Whether one cause is all but sure."""
        return self.found.explained and bool(self.found.causes) and self.found.causes[0].probability >= CERTAIN


def diagnose(bench: Bench, dictionary: Dictionary, readings: list[Reading]) -> Diagnosis:
    """Find, look for pairs where that is not enough, and propose what to read next."""
    found = find(bench, dictionary, readings)
    both = [] if found.explained else pairs(bench, dictionary, readings)
    ahead, refused = proposals(found, dictionary)
    return Diagnosis(found, both, ahead, refused)
