"""Check that the hand-written pages still fit the project.

Every ``oilway`` line of a code block must be one that the command line accepts (it is parsed, not run), every
``make`` target must exist, and so must every file of ``examples/`` that a page names. The published JSON Schema
must be the one that ``oilway schema`` prints.
"""

from __future__ import annotations

import json
import re
import shlex
import sys
from collections.abc import Iterator
from pathlib import Path

import typer

import oilway.cli
from oilway.model.schema import schema

ROOT = Path(__file__).resolve().parents[1]
TARGETS = re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
COMMANDS = typer.main.get_command(oilway.cli.app)


def hand_written() -> list[Path]:
    """README, CONTRIBUTING and the pages of docs/ that no program writes."""
    docs = [p for p in (ROOT / "docs").rglob("*.md") if not {"generated", "_build"} & set(p.parts)]
    return [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted(docs)]


def code(text: str) -> Iterator[tuple[int, str]]:
    """Line number and text of each line inside a fenced block, and of each code span outside."""
    fenced = False
    for number, line in enumerate(text.splitlines(), start=1):
        if line.lstrip().startswith("```"):
            fenced = not fenced
        elif fenced:
            yield number, line.strip().removeprefix("$ ")
        else:
            yield from ((number, span) for span in re.findall(r"`([^`]+)`", line))


def wrong_command(line: str) -> str:
    """Why the command line would refuse a line such as ``oilway explain hoist.yaml``, or an empty string."""
    verb, *arguments = shlex.split(line, comments=True)[1:] or ["--help"]
    if verb.startswith("-"):
        return ""
    known = COMMANDS.commands  # type: ignore[attr-defined]
    if verb not in known:
        return f"no verb '{verb}'"
    try:
        known[verb].make_context(verb, arguments)
    except typer.Exit:  # --help and its like
        return ""
    except Exception as error:  # the parser's own class is private to typer
        return str(error)
    return ""


def wrong(line: str) -> Iterator[str]:
    """Everything that no longer fits in one line of code."""
    if re.match(r"oilway [a-z-]", line) and "VERB" not in line and (why := wrong_command(line)):
        yield f"'{line}': {why}"
    if (match := re.match(r"make ([a-z][a-z-]*)", line)) and match[1] not in TARGETS:
        yield f"no make target '{match[1]}'"
    for name in re.findall(r"\bexamples/[\w./-]*\w", line):
        if not (ROOT / name).exists():
            yield f"no file {name}"


def wrong_schema() -> Iterator[str]:
    """Whether the published JSON Schema is another than the program's."""
    name = "docs/oilway.schema.json"
    if json.loads((ROOT / name).read_text(encoding="utf-8")) != schema():
        yield f"{name}: stale; write it anew with: oilway schema -o {name}"


def main() -> int:
    """Print what is stale; 1 if anything is."""
    stale = [
        f"{path.relative_to(ROOT)}:{number}: {why}"
        for path in hand_written()
        for number, line in code(path.read_text(encoding="utf-8"))
        for why in wrong(line)
    ]
    stale += wrong_schema()
    print("\n".join(stale), end="\n" if stale else "")
    return bool(stale)


if __name__ == "__main__":
    sys.exit(main())
