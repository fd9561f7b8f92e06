"""Sockets of the page: on this computer only, or for a room."""

from __future__ import annotations

import socket
from ipaddress import ip_address

import pytest

from oilway.errors import InputError
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
        with pytest.raises(InputError, match="another program uses it"):
            listen(other.getsockname()[1])


def test_the_number_of_this_computer_is_an_address() -> None:
    assert ip_address(own_number()).version == 4
