"""``python -m benchmarks [PART]``: measure and print; 1 when a target is missed.  The parts: see ``PARTS``."""

from __future__ import annotations

import sys
from collections.abc import Callable


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
    "students": _students,
    "find": _find,
    "same": _same,
    "batch": _batch,
}


def main(wanted: list[str]) -> int:
    """Run the parts named, or all; 0 when every target is met."""
    unknown = [name for name in wanted if name not in PARTS]
    if unknown:
        print(f"there is no benchmark '{unknown[0]}'; known: {', '.join(PARTS)}", file=sys.stderr)
        return 2
    met = [PARTS[name]() for name in wanted or PARTS]
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
