"""A certificate that is renewed while the shop is served: phones get the new one, and nothing stops."""

import contextlib
import datetime
import ipaddress
import os
import socket
import ssl
import subprocess
import sys
import time

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

PATIENCE = 60  # seconds until a step counts as hung, also on a busy machine

SERVING = """
import sys
from pathlib import Path
from coiltrail import serve
serve.CERTIFICATE_SECONDS = 0.2
folder, port = sys.argv[1:]
renewed = Path(folder, "renewed")
def renew():
    if renewed.exists():
        for name in ("key.pem", "certificate.pem"):
            (renewed / name).replace(Path(folder, name))
        renewed.rmdir()
serve.serve("127.0.0.1", int(port), Path(folder, "certificate.pem"), Path(folder, "key.pem"), renew)
"""


def make(folder, serial):
    """A certificate for this machine, by a key of its own."""
    folder.mkdir(exist_ok=True)
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([])
    now = datetime.datetime.now(datetime.UTC)
    here = x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(serial)
        .not_valid_before(now)
        .not_valid_after(now + datetime.timedelta(days=1))
        .add_extension(here, critical=False)
        .sign(key, hashes.SHA256())
    )
    plain = serialization.NoEncryption()
    pem = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain)
    (folder / "key.pem").write_bytes(pem)
    (folder / "certificate.pem").write_bytes(certificate.public_bytes(serialization.Encoding.PEM))


@pytest.fixture
def served(folder):
    """The port of a server that looks often, its process, and where its certificate lies."""
    files = folder / "lan"
    make(files, 1)
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        port = trial.getsockname()[1]
    environment = {**os.environ, "COILTRAIL_DATA": str(folder), "DATABASE_URL": ""}
    process = subprocess.Popen(
        [sys.executable, "-c", SERVING, files, str(port)], env=environment, stderr=subprocess.PIPE, text=True
    )
    yield port, process, files
    process.terminate()
    process.communicate(timeout=PATIENCE)


def connect(port):
    trusting = ssl.create_default_context()
    trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
    return trusting.wrap_socket(socket.create_connection(("127.0.0.1", port), timeout=PATIENCE))


def serial_at(port):
    with connect(port) as connection:
        return x509.load_der_x509_certificate(connection.getpeercert(binary_form=True)).serial_number


def until(port, serial):
    for _ in range(PATIENCE * 10):
        with contextlib.suppress(OSError):
            if serial_at(port) == serial:
                return
        time.sleep(0.1)
    raise AssertionError(f"the certificate {serial} is never served")


def ask(connection):
    connection.sendall(b"GET /api/state HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
    return connection.recv(12)


def test_a_renewed_certificate_is_served_without_a_stop(served):
    port, process, files = served
    until(port, 1)
    make(files / "unfinished", 2)
    (files / "unfinished").rename(files / "renewed")
    until(port, 2)
    with connect(port) as connection:
        assert ask(connection) == b"HTTP/1.1 200"
    assert process.poll() is None


def test_what_somebody_else_renews_is_served_too_and_half_of_it_is_not(served):
    port, process, files = served
    until(port, 1)
    before = (files / "certificate.pem").read_bytes()
    (files / "certificate.pem").write_bytes(before[:100])
    assert "cannot be renewed" in process.stderr.readline()
    assert serial_at(port) == 1
    make(files, 3)
    until(port, 3)
    assert process.poll() is None
