"""The verbs that show pictures: ``open`` serves the page."""

from __future__ import annotations

from typing import Annotated

import typer


def open_page(
    file: Annotated[str, typer.Argument(metavar="FILE")],
    port: Annotated[int, typer.Option(help="Port on this computer.")] = 8765,
) -> None:
    """Open a machine or a valve as a page in the browser."""
    import uvicorn

    from oilway.page.server import app
    from oilway.page.session import Session

    uvicorn.run(app(Session(file)), host="127.0.0.1", port=port, log_level="warning")
