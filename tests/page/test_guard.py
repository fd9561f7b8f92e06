"""Who may ask the page, and how much at once."""

from __future__ import annotations

import http.client
import socket
import threading
import time
from collections.abc import Iterator

import pytest
from starlette.datastructures import Headers
from starlette.testclient import TestClient

from oilway.page.guard import HEADERS, LARGEST, refusal

JSON = {"content-type": "application/json"}
HERE = {"host": "127.0.0.1:8765"}


@pytest.mark.parametrize("host", ["127.0.0.1:8765", "localhost:8765", "localhost", "[::1]:8765", "LOCALHOST:1"])
def test_names_of_this_computer_may_ask(host: str) -> None:
    assert refusal("GET", "/api/scene", Headers({"host": host})) == (0, "")


@pytest.mark.parametrize(
    "host",
    ["", "example.org", "127.0.0.1.example.org:8765", "localhost@example.org", "192.168.1.5:8765", "[", "ａ"],
)
def test_another_name_is_refused(host: str) -> None:
    headers = Headers(raw=[(b"host", host.encode("utf-8"))])
    assert refusal("GET", "/", headers)[0] == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://example.org"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_site_is_refused(method: str, headers: dict[str, str]) -> None:
    status, why = refusal(method, "/api/frame", Headers({**HERE, **JSON, **headers}))
    assert status == 403
    assert "another site" in why


def test_the_page_itself_may_post_and_a_link_may_open_it() -> None:
    own = {"origin": "http://127.0.0.1:8765", "sec-fetch-site": "same-origin"}
    assert refusal("POST", "/api/frame", Headers({**HERE, **JSON, **own})) == (0, "")
    assert refusal("GET", "/", Headers({**HERE, "sec-fetch-site": "cross-site"})) == (0, "")


def test_a_form_cannot_post(hoist: TestClient) -> None:
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data"):
        answer = hoist.post("/api/frame", content=b'{"set": {}}', headers={"Content-Type": kind})
        assert answer.status_code == 415


def test_a_large_body_is_refused_whatever_its_length_was_said_to_be(hoist: TestClient) -> None:
    def pieces() -> Iterator[bytes]:
        for _ in range(LARGEST // 1024 + 1):
            yield b" " * 1024

    for content in (b" " * (LARGEST + 1), pieces()):
        assert hoist.post("/api/frame", content=content, headers=JSON).status_code == 413
    fits = b'{"set": {}}'.ljust(LARGEST)
    assert hoist.post("/api/frame", content=fits, headers=JSON).status_code == 200


@pytest.mark.parametrize(
    "path",
    ["/static/../server.py", "/static/%2e%2e/server.py", "/static/..%2fserver.py", "/static//etc/passwd",
     "/static/%2e%2e%5cserver.py", "/static/", "/server.py", "/static/%00"],
)  # fmt: skip
def test_path_tricks_find_nothing(hoist: TestClient, path: str) -> None:
    assert hoist.get(path).status_code == 404


def test_every_answer_carries_the_rules(hoist: TestClient) -> None:
    for path in ("/", "/static/index.html", "/api/scene", "/nothing"):
        headers = hoist.get(path).headers
        assert {name: headers.get(name) for name in HEADERS} == HEADERS, path
    assert hoist.get("/", headers={"host": "example.org"}).headers["content-security-policy"]


def test_a_visitor_who_hangs_up_in_the_middle_does_no_harm() -> None:
    import uvicorn

    from oilway.page.server import app
    from oilway.page.session import Session

    server = uvicorn.Server(uvicorn.Config(app(Session("direct relief")), port=0, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    port = server.servers[0].sockets[0].getsockname()[1]
    with socket.create_connection(("127.0.0.1", port)) as rude:
        rude.sendall(b"POST /api/frame HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
                     b"Content-Length: 500\r\n\r\n{")  # fmt: skip
    polite = http.client.HTTPConnection("127.0.0.1", port)
    polite.request("GET", "/api/scene")
    assert polite.getresponse().status == 200
    polite.close()
    server.should_exit = True
    thread.join()
