"""Ports of this machine for tests that listen."""

import socket


def free_port():
    """A port that nobody listened on a moment ago."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return trial.getsockname()[1]
