"""A directive that shows a command together with what it really prints, run when the page is built.

    ```{oilway} explain examples/tipping_hoist.yaml
    :from: Forces on
    :until: Flow into
    ```

The command runs in docs/generated/run, beside a copy of examples/; a file that it writes there can be shown on
the page. ``from`` and ``until`` are the beginnings of the first line shown and of the first one no longer shown.
``typo: WORD -> WORD`` puts a mistake into the copy of the file. The build stops if the command does not end with
the status ``exit`` (0 unless said).
"""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

from docutils import nodes
from docutils.parsers.rst import directives
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / "docs" / "generated" / "run"
LONGEST = 300  # s; a command that takes longer hangs (a term of eight lessons takes a minute or two)


class OilwayRun(SphinxDirective):
    """The directive described above."""

    required_arguments = 1
    final_argument_whitespace = True
    option_spec: ClassVar[dict[str, Callable[[str], Any]] | None] = {
        "exit": directives.nonnegative_int,
        "from": directives.unchanged_required,
        "until": directives.unchanged_required,
        "typo": directives.unchanged_required,
    }

    def run(self) -> list[nodes.Node]:
        """Run the command and return it with its output as one block; a failure is told with page and line."""
        command = self.arguments[0]
        try:
            lay_out(shlex.split(command), self.options.get("typo", ""))
            said = output(command, self.options.get("exit", 0))
            shown = excerpt(said, self.options.get("from", ""), self.options.get("until", ""))
        except (ValueError, RuntimeError, subprocess.TimeoutExpired) as wrong:
            raise self.error(f"oilway {command}: {wrong}") from wrong
        text = "\n".join([f"$ oilway {command}", *shown])
        return [nodes.literal_block(text, text, language="text")]


def lay_out(words: list[str], typo: str) -> None:
    """A fresh copy of the examples, with the mistake in the one that the command names."""
    shutil.copytree(ROOT / "examples", FOLDER / "examples", dirs_exist_ok=True)
    if typo:
        right, wrong = typo.split(" -> ")
        path = FOLDER / next(word for word in words if word.startswith("examples/"))
        text = path.read_text(encoding="utf-8")
        if text.count(right) != 1:
            raise ValueError(f"'{right}' is not in {path.name} once")
        path.write_text(text.replace(right, wrong), encoding="utf-8")


def output(command: str, status: int) -> list[str]:
    """Lines that ``oilway COMMAND`` prints; raises when it ends with another exit status."""
    done = subprocess.run(
        [sys.executable, "-m", "oilway", *shlex.split(command)],
        cwd=FOLDER,
        env={**os.environ, "NO_COLOR": "1", "TERM": "dumb"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        timeout=LONGEST,
        check=False,
    )
    if done.returncode != status:
        raise RuntimeError(f"ended with {done.returncode}, not {status}:\n{done.stdout}")
    return [line.rstrip() for line in done.stdout.strip("\n").splitlines()]


def excerpt(lines: list[str], start: str, stop: str) -> list[str]:
    """The lines from the first that begins with ``start`` to before the next that begins with ``stop``."""

    def find(beginning: str, after: int) -> int:
        for number in range(after, len(lines)):
            if lines[number].lstrip().startswith(beginning):
                return number
        raise ValueError(f"no line begins with '{beginning}'")

    first = find(start, 0) if start else 0
    last = find(stop, first) if stop else len(lines)
    return [*(["..."] if first else []), *lines[first:last], *(["..."] if last < len(lines) else [])]


def setup(app: Sphinx) -> dict[str, bool]:
    """Called by Sphinx."""
    app.add_directive("oilway", OilwayRun)
    return {"parallel_read_safe": False}
