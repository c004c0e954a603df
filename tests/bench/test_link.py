"""The link changes nothing but the time, and counts every byte."""

import contextlib
import socket
import threading
import time

import pytest

from coiltrail.bench.link import Link, opened


def all_of(connection):
    return b"".join(iter(lambda: connection.recv(65536), b""))


@pytest.fixture
def echo():
    """A server that sends back all it was sent, once the sender has ended."""
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve():
            while True:
                try:
                    connection, _ = server.accept()
                except OSError:
                    return
                with connection, contextlib.suppress(ConnectionError):
                    connection.sendall(all_of(connection))

        threading.Thread(target=serve, daemon=True).start()
        yield server.getsockname()[1]
        server.shutdown(socket.SHUT_RDWR)


@pytest.mark.parametrize(("rate", "delay_s"), [(None, 0.0), (4_000_000, 0.002)])
def test_bytes_arrive_as_they_were_sent(echo, rate, delay_s):
    content = bytes(range(256)) * 1500
    with opened(Link(echo, rate, delay_s)) as link:
        for _ in range(2):
            with socket.create_connection(("127.0.0.1", link.port)) as phone:
                phone.sendall(content)
                phone.shutdown(socket.SHUT_WR)
                assert all_of(phone) == content
    assert link.passed == 4 * len(content)


def test_a_link_taken_down_in_the_middle_ends(echo):
    with opened(Link(echo, 1000)) as link:
        phone = socket.create_connection(("127.0.0.1", link.port), timeout=30)
        phone.sendall(b"x" * 5000)
        while not link.passed:
            time.sleep(0.01)
    with phone, contextlib.suppress(ConnectionError):  # closed or reset, but no longer open
        assert phone.recv(10) == b""
