"""Sphinx configuration. Built strictly (every warning is an error) by ``make check``; nothing is fetched."""

from __future__ import annotations

import sys
from pathlib import Path

from sphinx.application import Sphinx

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

import generate  # noqa: E402  (this folder is no package; it is on the path from the line above)
import oilway  # noqa: E402

project = "Oilway"
author = "Oilway contributors"
project_copyright = "2026, Oilway contributors"
release = version = oilway.__version__

extensions = ["myst_parser", "run_directive"]
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = f"Oilway {release}"
html_static_path = ["_static"]
html_css_files = ["wide.css"]
html_show_sourcelink = False
html_copy_source = False
myst_heading_anchors = 3


def write_reference(app: Sphinx) -> None:
    """Write docs/generated/ before Sphinx looks for pages."""
    generate.write_pages(HERE / "generated")


def setup(app: Sphinx) -> None:
    """Called by Sphinx."""
    app.connect("builder-inited", write_reference)
