"""``python -m benchmarks [PART [ARGUMENT ...] ...]``: measure and print; 1 when a target is missed.

The parts: see ``PARTS``; those of ``WITH_ARGUMENTS`` take what stands after them.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence


def _choice() -> bool:
    from benchmarks import choice

    choice.main()  # compares; it has no target of its own
    return True


def _speed() -> bool:
    from benchmarks import speed

    return speed.run()


def _cold() -> bool:
    from benchmarks import cold_start

    return cold_start.run()


def _transient() -> bool:
    from benchmarks import transient

    return transient.run()


def _scaling() -> bool:
    from benchmarks import scaling

    return scaling.run()


def _page() -> bool:
    from benchmarks import page

    return page.run()


def _browser() -> bool:
    from benchmarks import page_browser

    return page_browser.run()


def _sheets() -> bool:
    from benchmarks import class_room

    return class_room.run()


def _paper() -> bool:
    from benchmarks import paper

    return paper.run()


def _students() -> bool:
    from benchmarks import page_class

    return page_class.run()


def _logger() -> bool:
    from benchmarks import logger

    return logger.run()


def _find() -> bool:
    from benchmarks import find

    return find.run()


def _same() -> bool:
    from benchmarks import find_same

    return find_same.run()


def _batch() -> bool:
    from benchmarks import batch

    return batch.run()


def _class(arguments: Sequence[str] = ()) -> bool:
    from benchmarks import class_beliefs

    return class_beliefs.run(arguments)


def _variants(arguments: Sequence[str] = ()) -> bool:
    from benchmarks import class_variants

    return class_variants.run(arguments)


PARTS: dict[str, Callable[[], bool]] = {
    "choice": _choice,
    "speed": _speed,
    "cold": _cold,
    "transient": _transient,
    "scaling": _scaling,
    "page": _page,
    "browser": _browser,
    "logger": _logger,
    "sheets": _sheets,
    "paper": _paper,
    "students": _students,
    "find": _find,
    "same": _same,
    "batch": _batch,
    "class": _class,
    "variants": _variants,
}
WITH_ARGUMENTS: dict[str, Callable[[Sequence[str]], bool]] = {"class": _class, "variants": _variants}


def main(wanted: list[str]) -> int:
    """Run the parts named, or all; 0 when every target is met."""
    asked: list[tuple[str, list[str]]] = []
    for word in wanted or PARTS:
        if asked and word not in PARTS and asked[-1][0] in WITH_ARGUMENTS:
            asked[-1][1].append(word)
        elif word in PARTS:
            asked.append((word, []))
        else:
            print(f"there is no benchmark '{word}'; known: {', '.join(PARTS)}", file=sys.stderr)
            return 2
    met = [WITH_ARGUMENTS[name](given) if name in WITH_ARGUMENTS else PARTS[name]() for name, given in asked]
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
