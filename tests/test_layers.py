"""The house has floors: a module imports from its own floor or from one below, never from above."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

SRC = Path(__file__).resolve().parents[1] / "src"
MODULES = sorted((SRC / "oilway").rglob("*.py"))

# Lowest first; what shares a floor may import each other.
FLOORS: tuple[tuple[str, ...], ...] = (
    ("errors",),
    ("quantity", "files"),
    ("laws",),
    ("oil",),
    ("elements",),
    ("model",),
    ("solve",),
    ("study",),
    ("__init__",),  # the names a user imports; what shows results may use them too
    ("draw", "text", "provenance", "block_dask"),
    (
        "log",
        "sheets",
        "curve_text",
        "run_text",
        "consequences_text",
        "margin_text",
        "staging_text",
        "progress",
        "proof_text",
        "plan_text",
        "inspect_text",
        "choose_text",
        "find_text",
        "fit_text",
        "spread_text",
        "size_text",
    ),
    ("run_files", "log_text", "qti", "block_files"),
    ("class_files",),
    ("mark_files",),
    ("page",),
    ("story_text", "term_files"),
    (
        "cli",
        "cli_class",
        "cli_enter",
        "cli_options",
        "cli_page",
        "cli_set",
        "cli_shop",
        "cli_stand",
        "cli_find",
        "cli_many",
    ),
    ("__main__",),
)
FLOOR = {name: number for number, names in enumerate(FLOORS) for name in names}
LAWS_MAY_IMPORT = {"laws", "errors"}
CASADI_MAY_LIVE_IN = {"elements", "model", "solve"}


def package_of(path: Path) -> str:
    """Name of the floor a module stands on: its folder, or its own name at the top level."""
    return path.relative_to(SRC / "oilway").with_suffix("").parts[0]


def dotted(path: Path) -> str:
    """Dotted name of a module, ``oilway.laws.areas``."""
    return ".".join(path.relative_to(SRC).with_suffix("").parts)


def imports(source: str, package: str) -> Iterator[tuple[int, str]]:
    """Line and absolute dotted name of everything imported, also inside functions.

    ``from oilway import oil`` counts as ``oilway.oil``; ``package`` resolves relative imports.
    """
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parent = package.split(".")[: len(package.split(".")) - node.level + 1]
                base = ".".join([*parent, *([base] if base else [])])
            yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)


def imports_of(path: Path) -> list[tuple[int, str]]:
    """Imports of one module of the package."""
    return list(imports(path.read_text(encoding="utf-8"), dotted(path).rpartition(".")[0]))


def breach(importer: str, imported: str) -> str:
    """Why ``importer`` (a floor) may not import the dotted name, or an empty string."""
    root, *rest = imported.split(".")
    if root == "casadi":
        return "" if importer in CASADI_MAY_LIVE_IN else "casadi lives in elements, model and solve only"
    if root != "oilway":
        return ""
    # A name that is no module comes from oilway/__init__.py: "from oilway import __version__".
    target = rest[0] if rest and rest[0] in FLOOR else "__init__"
    if importer == "laws" and target not in LAWS_MAY_IMPORT:
        return f"laws stand alone and know nothing of oilway.{target}"
    if FLOOR[target] > FLOOR[importer]:
        return f"oilway.{target} stands above oilway.{importer}"
    return ""


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_every_module_has_a_floor(path: Path) -> None:
    assert package_of(path) in FLOOR, "give it a floor in FLOORS"


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_imports_go_downwards(path: Path) -> None:
    found = [
        f"{path.name}:{line} imports {name}: {why}"
        for line, name in imports_of(path)
        if (why := breach(package_of(path), name))
    ]
    assert not found, "\n".join(found)


def test_no_module_imports_matplotlib_at_its_top() -> None:
    top_level = [
        f"{path.name}:{node.lineno}"
        for path in MODULES
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.Import | ast.ImportFrom)
        for _, name in imports(ast.unparse(node), "oilway")
        if name.split(".")[0] == "matplotlib"
    ]
    assert not top_level


@pytest.mark.parametrize("module", ["oilway", "oilway.cli"])
def test_start_up_leaves_heavy_libraries_alone(module: str) -> None:
    code = f"import {module}, sys; print(*sorted({{n.split('.')[0] for n in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert module.split(".")[0] in loaded
    assert not loaded & {"matplotlib", "scipy", "pyarrow", "starlette", "typst", "uvicorn", "distributed"}


@pytest.mark.parametrize(
    ("floor", "line", "why"),
    [
        ("quantity", "from oilway.solve import steady", "stands above"),
        ("quantity", "from oilway import cli", "stands above"),
        ("laws", "from oilway import quantity", "stand alone"),
        ("draw", "import casadi as ca", "casadi lives in"),
        ("oil", "from .elements import spring", "stands above"),
        ("solve", "def f():\n    from oilway.study import explain", "stands above"),
        ("errors", "from oilway import __version__", "stands above"),
        ("study", "from oilway import load", "stands above"),
        ("cli", "from oilway import load", ""),
        ("cli", "from oilway.study.explain import explain", ""),
        ("solve", "import casadi", ""),
        ("laws", "from oilway.laws import areas", ""),
    ],
)
def test_the_rule_sees_a_breach(floor: str, line: str, why: str) -> None:
    found = [breach(floor, name) for _, name in imports(line, "oilway")]
    assert all(why in f for f in found) if why else not any(found)
