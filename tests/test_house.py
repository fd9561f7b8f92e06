"""The size and tidiness of the source: what a reader may count on in every file."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

import oilway

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "oilway"
MODULES = sorted(PACKAGE.rglob("*.py"))
MOST_LINES_OF_A_FILE = 400
MOST_LINES_OF_A_BODY = 40

# Modules without a test file of their own name, each with the reason. Keep it short.
TESTED_ELSEWHERE: dict[str, str] = {}

Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
FILLER = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENDMARKER,
}


def name_of(path: Path) -> str:
    """Path of a module inside the package, as a reader would type it."""
    return path.relative_to(PACKAGE).as_posix()


def code_lines(source: str) -> set[int]:
    """Numbers of the lines that hold code: not blank, not only a comment."""
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type not in FILLER:
            lines.update(range(token.start[0], token.end[0] + 1))
    return lines


def long_functions(source: str) -> list[tuple[str, int]]:
    """Name and body length of each function over the limit; docstring, blanks and comments do not count.

    A function inside another counts for itself and for the one around it.
    """
    code = code_lines(source)
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body[1:] if ast.get_docstring(node) is not None else node.body
            length = len(code & set(range(body[0].lineno, (node.end_lineno or 0) + 1))) if body else 0
            if length > MOST_LINES_OF_A_BODY:
                found.append((node.name, length))
    return found


def public_definitions(body: list[ast.stmt], prefix: str = "") -> Iterator[tuple[str, Definition]]:
    """Public classes, functions and methods of a module, by dotted name."""
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            if node.name.startswith("_"):
                continue
            yield prefix + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public_definitions(node.body, f"{prefix}{node.name}.")


def undocumented(source: str) -> list[str]:
    """Public names without a docstring; an overriding method may leave it to the method it overrides."""
    tree = ast.parse(source)
    missing = [] if ast.get_docstring(tree) else ["the module itself"]
    derived = {n.name for n in ast.walk(tree) if isinstance(n, ast.ClassDef) and n.bases}
    for name, node in public_definitions(tree.body):
        owner = name.rpartition(".")[0].rpartition(".")[2]
        if ast.get_docstring(node) is None and owner not in derived:
            missing.append(name)
    return missing


def test_no_file_is_too_long() -> None:
    long = {
        name_of(path): n
        for path in MODULES
        if (n := len(path.read_text(encoding="utf-8").splitlines())) > MOST_LINES_OF_A_FILE
    }
    assert not long, f"over {MOST_LINES_OF_A_FILE} lines: {long}"


def test_no_function_is_too_long() -> None:
    long = [
        f"{name_of(path)}: {name} has {length} lines"
        for path in MODULES
        for name, length in long_functions(path.read_text(encoding="utf-8"))
    ]
    assert not long, f"over {MOST_LINES_OF_A_BODY} lines of body:\n" + "\n".join(long)


def test_everything_public_says_what_it_is() -> None:
    bare = [f"{name_of(p)}: {name}" for p in MODULES for name in undocumented(p.read_text(encoding="utf-8"))]
    assert not bare, "no docstring:\n" + "\n".join(bare)


def own_tests(path: Path) -> list[Path]:
    """Test files named after a module; in the same folder of tests/ where two modules share a name."""
    name = f"test_{path.stem}.py"
    if sum(other.stem == path.stem for other in MODULES) > 1:
        return [t for t in [ROOT / "tests" / path.relative_to(PACKAGE).with_name(name)] if t.is_file()]
    return list((ROOT / "tests").rglob(name))


def test_tests_mirror_the_source() -> None:
    alone = [
        name_of(path)
        for path in MODULES
        if path.stem not in {"__init__", "__main__"}
        and any(public_definitions(ast.parse(path.read_text(encoding="utf-8")).body))
        and not own_tests(path)
        and name_of(path) not in TESTED_ELSEWHERE
    ]
    assert not alone, "no test_<name>.py, and no reason in TESTED_ELSEWHERE:\n" + "\n".join(alone)


def test_exceptions_to_the_mirror_are_still_exceptions() -> None:
    for name, reason in TESTED_ELSEWHERE.items():
        assert (PACKAGE / name).is_file(), f"{name} is gone"
        assert reason, f"{name}: say why"
        assert not own_tests(PACKAGE / name), f"{name} has its own test now"


def test_changelog_has_an_entry_for_this_version() -> None:
    headings = re.findall(r"^## \[?([^\]\s]+)", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.M)
    assert oilway.__version__ in headings


@pytest.mark.parametrize("command", ["make demo", "make test"])
def test_readme_names_the_two_commands(command: str) -> None:
    assert command in (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_count_leaves_out_docstring_blank_and_comment() -> None:
    body = "\n".join(f"    x{i} = {i}" for i in range(MOST_LINES_OF_A_BODY))
    filler = '    """Docs.\n\n    More.\n    """\n\n    # why\n'
    assert long_functions(f"def f():\n{filler}{body}\n") == []
    assert long_functions(f"def f():\n{filler}{body}\n    y = 1\n") == [("f", MOST_LINES_OF_A_BODY + 1)]


def test_a_missing_docstring_is_seen() -> None:
    assert undocumented('"""M."""\ndef f(): ...\nclass A:\n    """A."""\n    def g(self): ...\n') == [
        "f",
        "A.g",
    ]
    assert undocumented("x = 1\n") == ["the module itself"]
