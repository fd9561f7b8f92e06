"""Write the reference pages of the documentation from the code they describe, so that they cannot drift.

    parts.md      from the ports and records of every element
    valves.md     the shipped valve files, verbatim
    commands.md   from the help texts of the command line
    laws/*.md     from the docstrings of oilway.laws; the worked numbers are run; a wrong one stops it

Run by conf.py before every build; ``python docs/generate.py`` does it alone.
"""

from __future__ import annotations

import doctest
import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType, ModuleType
from typing import get_args

import typer
from typer.testing import CliRunner

import oilway.cli
import oilway.laws
from oilway import quantity
from oilway.elements.base import Element
from oilway.elements.record import REQUIRED, Record
from oilway.model import catalogue

HELP_WIDTH = "88"


def write_pages(folder: Path) -> None:
    """Write every page; leave a page alone that is right already, and remove one whose source is gone."""
    wanted = {folder / name: text.rstrip() + "\n" for name, text in pages()}
    for path in set(folder.rglob("*.md")) - set(wanted):
        path.unlink()
    for path, text in wanted.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")


def pages() -> Iterator[tuple[str, str]]:
    """Name and text of each page."""
    yield "parts.md", parts_page()
    yield "valves.md", valves_page()
    yield "commands.md", commands_page()
    for module in law_modules():
        if laws := laws_of(module):
            yield f"laws/{short(module)}.md", law_page(module, laws)


# --- text -----------------------------------------------------------------------------------------


def escape(text: str) -> str:
    """Markdown that reads as the plain text given; text between backticks stays code."""
    pieces = re.split(r"(`+[^`]+`+)", text)
    return "".join(p if p.startswith("`") else re.sub(r"([\\*_\[\]<>#|~$])", r"\\\1", p) for p in pieces)


def link_roles(text: str) -> str:
    """Turn a role such as ``:func:`oilway.laws.areas.circle_area` `` into a link, or into plain code."""

    def link(match: re.Match[str]) -> str:
        name = match.group(1).lstrip("~")
        law = re.fullmatch(r"oilway\.laws\.(\w+)\.(\w+)", name)
        return f"[`{law[2]}`](#{law[1]}-{law[2]})" if law else f"`{name}`"

    return re.sub(r":\w+:`([^`]+)`", link, text)


def fence(text: str, language: str = "text") -> str:
    """A code block; the fence is longer than any inside the text."""
    ticks = "`" * max([3, *(len(run) + 1 for run in re.findall("`+", text))])
    return f"{ticks}{language}\n{text.rstrip()}\n{ticks}"


def prose(docstring: str | None) -> str:
    """Markdown of a docstring: paragraphs and lists as text, indented blocks and examples as they stand."""
    out = []
    for block in re.split(r"\n\s*\n", inspect.cleandoc(docstring or "")):
        if block.startswith(">>>"):
            out.append(fence(block, "pycon"))
        elif block.startswith(" "):
            out.append(fence(inspect.cleandoc(block)))
        else:
            text = re.sub(r"::$", ":", block)
            links = re.split(r"(:\w+:`[^`]+`)", text)
            out.append("".join(link_roles(p) if p.startswith(":") else escape(p) for p in links))
    return "\n\n".join(out)


def table(heads: list[str], rows: list[list[str]]) -> str:
    """A Markdown table of cells that are Markdown already."""
    lines = [heads, [":---"] * len(heads), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def short(thing: ModuleType) -> str:
    """Last part of a module's name."""
    return thing.__name__.rpartition(".")[2]


# --- parts ----------------------------------------------------------------------------------------


def parts_page() -> str:
    """One section per kind of part."""
    head = (
        "# Parts reference\n\n"
        "Every kind of part a file may hold, made from the same records by which a file is checked.\n"
        "Quantities are typed as text with a unit, in any unit of their kind; defaults and ranges are shown\n"
        "in shop units, then in metric. A key must be given where it is marked so.\n"
    )
    return "\n\n".join([head, *(part_section(name, kind) for name, kind in catalogue.kinds().items())])


def part_section(name: str, kind: type[Element]) -> str:
    """Heading, docstring, ports and keys of one kind."""
    pieces = [f"## {name}", prose(kind.__doc__)]
    if kind.ports:
        rows = [[f"`{port.name}`", escape(port.meaning)] for port in kind.ports]
        pieces.append(table(["port", "what it joins"], rows))
    if kind.records:
        heads = ["key", "kind of value", "default", "legal range", "meaning", "source"]
        pieces.append(table(heads, [record_row(record) for record in kind.records]))
    return "\n\n".join(pieces)


def record_row(record: Record) -> list[str]:
    """Cells of one key."""
    return [
        f"`{record.name}`",
        kind_of_value(record),
        default_of(record),
        range_of(record),
        escape(record.meaning),
        escape(record.source),
    ]


def kind_of_value(record: Record) -> str:
    """What may be typed: the kind of quantity, the words to choose from, or the name of another part."""
    if record.kind == "choice":
        return "one of " + ", ".join(f"`{word}`" for word in record.choices)
    if record.kind == "reference":
        return f"name of a {record.refers_to}"
    return record.kind


def figures(value: float, kind: str, units: quantity.Units) -> str:
    """A value to four figures; ``quantity.show`` would round a bound of 0.001 N/mm to nothing."""
    number = quantity.number(value, kind, units)
    places = 3 - math.floor(math.log10(abs(number))) if number else 0
    text = f"{round(number, places):,.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def both_units(values: list[float], kind: str) -> str:
    """A value, or a range as "low to high", in shop units, then in metric where that differs."""
    said = [
        " to ".join(figures(value, kind, units) for value in values) + f" {quantity.unit(kind, units)}"
        for units in get_args(quantity.Units)
    ]
    return escape("; ".join(dict.fromkeys(text.rstrip() for text in said)))


def default_of(record: Record) -> str:
    """The default, ``required``, or that the key may be left out."""
    if record.default == REQUIRED:
        return "**required**"
    if record.default is None:
        return "may be left out"
    if isinstance(record.default, float):
        return both_units([record.default], record.kind)
    return f"`{record.default}`"


def range_of(record: Record) -> str:
    """Legal range, both ends included."""
    ends = [end for end in (record.low, record.high) if math.isfinite(end)]
    if not ends:
        return ""
    one_sided = {True: "at least ", False: "at most "}[math.isfinite(record.low)] if len(ends) == 1 else ""
    return one_sided + both_units(ends, record.kind)


def valves_page() -> str:
    """The shipped valve files with their comments."""
    head = (
        "# Shipped valves\n\n"
        "Each is a plain file in the same words that you type for your own valve. Copy one, change what you\n"
        "measured, and run it."
    )
    sections = [
        f"## {name}\n\n{fence(path.read_text(encoding='utf-8'), 'yaml')}"
        for name, path in catalogue.shipped_valves().items()
    ]
    return "\n\n".join([head, *sections])


# --- commands -------------------------------------------------------------------------------------


def commands_page() -> str:
    """Help of the application and of every verb, as printed."""
    head = "# Commands\n\nWhat `oilway --help` and `oilway VERB --help` print.\n\n## oilway"
    verbs = typer.main.get_command(oilway.cli.app).commands  # type: ignore[attr-defined]
    sections = [f"## oilway {verb}\n\n{help_of(verb)}" for verb in verbs]
    return "\n\n".join([head, help_of(), *sections])


def help_of(*verb: str) -> str:
    """Help text of a verb, of one width and without colour whatever the terminal."""
    plain = {"COLUMNS": HELP_WIDTH, "NO_COLOR": "1", "TERM": "dumb", "FORCE_COLOR": None}
    done = CliRunner().invoke(oilway.cli.app, [*verb, "--help"], prog_name="oilway", env=plain)
    if done.exit_code:
        raise RuntimeError(f"oilway {' '.join(verb)} --help failed: {done.output}")
    return fence("\n".join(line.rstrip() for line in done.output.strip().splitlines()))


# --- laws -----------------------------------------------------------------------------------------


def law_modules() -> list[ModuleType]:
    """All modules of oilway.laws, by name."""
    found = pkgutil.iter_modules(oilway.laws.__path__, "oilway.laws.")
    return [importlib.import_module(info.name) for info in found]


def laws_of(module: ModuleType) -> list[FunctionType]:
    """Public functions of a module, in the order of its text."""
    laws = [
        law
        for name, law in inspect.getmembers(module, inspect.isfunction)
        if not name.startswith("_") and law.__module__ == module.__name__
    ]
    return sorted(laws, key=lambda law: law.__code__.co_firstlineno)


def law_page(module: ModuleType, laws: list[FunctionType]) -> str:
    """A module's docstring and, per law, signature, docstring and the worked numbers, just run."""
    run_examples(module)
    title = short(module).replace("_", " ").capitalize()
    return "\n\n".join([f"# {title}", prose(module.__doc__), *(law_section(module, law) for law in laws)])


def law_section(module: ModuleType, law: FunctionType) -> str:
    """Target, heading, signature and docstring of one law."""
    name = law.__name__
    target = f"({short(module)}-{name})="
    return f"{target}\n## {name}\n\n{fence(signature_of(law), 'python')}\n\n{prose(law.__doc__)}"


def signature_of(law: FunctionType) -> str:
    """Signature as written, broken over lines where it is long."""
    text = f"{law.__name__}{inspect.signature(law)}".replace("'", "")
    if len(text) <= int(HELP_WIDTH):
        return text
    head, _, rest = text.partition("(")
    arguments, _, result = rest.rpartition(")")
    return f"{head}(\n    " + ",\n    ".join(arguments.split(", ")) + f",\n){result}"


def run_examples(module: ModuleType) -> None:
    """Run the doctests of a law module; its page must not show a number that the code does not give."""
    report: list[str] = []
    runner = doctest.DocTestRunner()
    for test in doctest.DocTestFinder(exclude_empty=True).find(module):
        runner.run(test, out=report.append)
    if runner.summarize(verbose=False).failed:
        raise RuntimeError(f"worked numbers of {module.__name__} are wrong:\n{''.join(report)}")


if __name__ == "__main__":
    write_pages(Path(__file__).resolve().parent / "generated")
