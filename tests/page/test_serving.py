"""Sockets of the page: on this computer only, or for a room."""

from __future__ import annotations

import socket
from ipaddress import ip_address

import pytest

from oilway.errors import InputError
from oilway.page import serving
from oilway.page.serving import EVERYWHERE, PORT, TRIED, listen, own_number


def test_the_page_listens_on_this_computer_only() -> None:
    with listen(None) as taken:
        host, port = taken.getsockname()
        assert host == "127.0.0.1"
        assert PORT <= port < PORT + TRIED


def test_a_room_is_served_everywhere_beside_the_page() -> None:
    with listen(None) as page, listen(None, EVERYWHERE) as room:
        assert room.getsockname()[0] == "0.0.0.0"
        assert room.getsockname()[1] != page.getsockname()[1]


def test_a_taken_port_is_told() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(InputError, match=f"port {port} cannot be had: another program uses it"):
            listen(port)


def test_without_a_port_asked_for_the_next_free_one_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        monkeypatch.setattr(serving, "PORT", port)
        with listen(None) as found:
            assert port < found.getsockname()[1] < port + TRIED
        monkeypatch.setattr(serving, "TRIED", 1)
        with pytest.raises(InputError, match="no port from"):
            listen(None)


def test_the_number_of_this_computer_is_an_address() -> None:
    assert ip_address(own_number()).version == 4
