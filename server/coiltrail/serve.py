"""Serving the application by granian, a production server that also speaks TLS."""

import errno
import os
import socket
import ssl
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

from flask import Flask

from .config import Config
from .store import in_use, leftovers
from .trouble import Trouble

# Slow uploads each hold a thread for as long as they last, so there are more than the machine has cores.
BLOCKING_THREADS = 32

STOP_SECONDS = 10  # what a worker gets to finish what it has begun

CERTIFICATE_SECONDS = 3600  # how often it is looked whether the certificate was renewed


def serve(
    host: str,
    port: int,
    certificate: Path | None = None,
    key: Path | None = None,
    renew: Callable[[], object] | None = None,
) -> None:
    """Serve until stopped. Raises Trouble when the port cannot be had or a file of the certificate is missing.

    A certificate that is renewed meanwhile, by ``renew`` (asked every hour) or by somebody else, is served without a
    stop.
    """
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    if (certificate is None) != (key is None):
        raise Trouble("HTTPS needs both: give --certificate FILE and --key FILE.")
    for file in filter(None, (certificate, key)):
        if not file.is_file():
            raise Trouble(f"There is no file {file}: check --certificate and --key.")
    _check_port(host, port)
    try:
        data = Config.from_environment().data
    except ValueError as problem:
        raise Trouble(str(problem)) from None
    leftovers.sweep(data)
    server = Granian(
        "coiltrail.serve:application",
        factory=True,
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        blocking_threads=BLOCKING_THREADS,
        websockets=False,
        workers_kill_timeout=STOP_SECONDS,
        log_level=LogLevels.error,  # it would warn of the number of threads, which is meant
        ssl_cert=certificate,
        ssl_key=key,
    )
    if certificate and key:
        following = threading.Thread(target=_follow, args=(server, certificate, key, renew), daemon=True)
        server.on_startup(following.start)
    with in_use.serving(data):
        server.serve()


def _follow(server, certificate: Path, key: Path, renew: Callable[[], object] | None) -> None:
    """A new worker takes over as soon as there is another certificate; the one before it finishes what it has begun."""
    served = certificate.read_bytes()
    while True:
        time.sleep(CERTIFICATE_SECONDS)
        try:
            if renew:
                renew()
            found = certificate.read_bytes()
            if found != served:
                ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key)
                served = found
                server.signal_handler_reload()
        except (OSError, ValueError) as trouble:  # the old one is served on; ssl.SSLError is an OSError
            print(f"The certificate {certificate} cannot be renewed ({trouble}); it is tried again.", file=sys.stderr)


def application() -> Flask:
    """The application in a worker of the server.

    The worker leaves the terminal's process group: a Ctrl-C there would reach it beside its parent's own
    signal to stop, and the two together make it hang.
    """
    from .app import create_app  # here, since the process that minds the workers needs none of it

    if hasattr(os, "setpgrp"):
        os.setpgrp()
    app = create_app()
    app.extensions["coiltrail.shell"].prepare()
    return app


def _check_port(host, port):
    # granian would share a taken port with whoever has it, and say nothing.
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind, protocol) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind(address)
    except socket.gaierror:
        raise Trouble(f"{host} is no address of this machine: try --host 127.0.0.1 or --host 0.0.0.0.") from None
    except OSError as problem:
        if problem.errno == errno.EADDRINUSE:
            raise Trouble(f"Port {port} is taken: stop what uses it, or choose another with --port.") from None
        raise Trouble(f"Port {port} on {host} cannot be opened ({problem.strerror}): choose another.") from None
