"""The README shows what `oilway demo` prints, not what it once printed."""

from __future__ import annotations

import io
import re
from pathlib import Path

from rich.console import Console

from oilway.story_text import tell

README = Path(__file__).resolve().parents[1] / "README.md"


def test_the_table_of_the_readme_is_the_demo_s(tmp_path: Path) -> None:
    printed = io.StringIO()
    tell(Console(file=printed, width=110), tmp_path)
    lines = {line.strip() for line in printed.getvalue().splitlines()}
    (block,) = re.findall(r"```text\n(.*?)```", README.read_text(encoding="utf-8"), re.S)
    shown = [line.strip() for line in block.splitlines()]
    assert len(shown) >= 10
    assert [line for line in shown if line not in lines] == []
