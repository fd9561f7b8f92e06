"""Who may ask the server of the page: a browser on this computer, from the page itself, in small bodies."""

from __future__ import annotations

import re

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOOPBACK = re.compile(r"(localhost|127\.0\.0\.1|\[::1\])(:[0-9]{1,5})?", re.IGNORECASE)
LARGEST = 64 * 1024  # bytes of a body
HEADERS = {
    "Content-Security-Policy": "default-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-cache",
}


class Guard:
    """Refuses what does not come from the page, and puts its rules on every answer.

    A name that is not this computer's is refused (another site may point its own name here), and so is what
    another site sends through a browser.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def ruled(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        status, why = refusal(scope["method"], scope["path"], Headers(scope=scope))
        if not status:
            body = await _body(receive) if scope["method"] == "POST" else b""
            if body is None:
                status, why = 413, f"a body has at most {LARGEST} bytes"
            elif scope["method"] == "POST":
                receive = _said(body, receive)
        if status:
            await JSONResponse({"problem": {"what": why, "hint": "", "part": ""}}, status)(scope, receive, ruled)
        else:
            await self.app(scope, receive, ruled)


def refusal(method: str, path: str, headers: Headers) -> tuple[int, str]:
    """Status and reason of a refusal; (0, "") for a request that may pass."""
    host = headers.get("host", "")
    if not LOOPBACK.fullmatch(host):
        return 403, "this page is served to this computer only"
    origin, site = headers.get("origin"), headers.get("sec-fetch-site", "none")
    if path == "/" and method == "GET":
        return 0, ""  # a link may lead here; it carries nothing
    if site not in ("none", "same-origin") or origin not in (None, f"http://{host}"):
        return 403, "another site may not ask this page"
    if method == "POST" and headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        return 415, "a question is asked as JSON"
    if method == "POST" and int(_digits(headers.get("content-length", "0"))) > LARGEST:
        return 413, f"a body has at most {LARGEST} bytes"
    return 0, ""


def _digits(text: str) -> str:
    return text if text.isascii() and text.isdigit() and len(text) < 20 else "0"


async def _body(receive: Receive) -> bytes | None:
    """The body, or None where it is too large, whatever its length was said to be."""
    body = b""
    while True:
        message = await receive()
        body += bytes(message.get("body", b""))
        if len(body) > LARGEST:
            return None
        if message["type"] == "http.disconnect" or not message.get("more_body"):
            return body


def _said(body: bytes, receive: Receive) -> Receive:
    """A ``receive`` that gives a body once, and what comes after it."""
    left = [body]

    async def again() -> Message:
        if left:
            return {"type": "http.request", "body": left.pop(), "more_body": False}
        return await receive()

    return again
