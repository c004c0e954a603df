"""The page, by plain HTTP, that gives out the authority's certificate and leads through trusting it step by step.

It serves nothing else: neither the application nor anything of the shop's data. ``lan.py`` starts it.
"""

import base64
import hashlib
import sys
import threading
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socket import AF_INET, AF_INET6

import jinja2
import qrcode
import qrcode.image.svg
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization

CERTIFICATE = "/coiltrail-authority.crt"
HERE = Path(__file__).parent


class TrustPage(BaseHTTPRequestHandler):
    """Answers with the page or the certificate."""

    timeout = 20  # seconds; whoever says nothing holds no thread for ever
    server_version, sys_version = "Coiltrail", ""

    def __init__(self, *arguments, answers: dict[str, tuple[str, bytes]], policy: str):
        self.answers = answers
        self.policy = policy
        super().__init__(*arguments)

    def do_GET(self) -> None:
        self._answer(with_body=True)

    def do_HEAD(self) -> None:
        self._answer(with_body=False)

    def _answer(self, *, with_body: bool) -> None:
        # A phone that asks for anything else gets the page: whatever was typed, the way on is here.
        kind, body = self.answers.get(self.path.partition("?")[0], self.answers["/"])
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Content-Security-Policy", self.policy)
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        if with_body:
            self.wfile.write(body)

    def log_message(self, *_: object) -> None:
        """Who asks is nobody's business."""


def answers(certificate: x509.Certificate, shop: str, own: str) -> tuple[dict[str, tuple[str, bytes]], str]:
    """What each path is answered with, and the page's content security policy."""
    style = (HERE / "trust_page.css").read_text(encoding="utf-8")
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined)
    page = environment.from_string((HERE / "trust_page.html").read_text(encoding="utf-8")).render(
        style=style,
        shop=shop,
        own=own,
        certificate=CERTIFICATE,
        fingerprint=certificate.fingerprint(hashes.SHA256()).hex(":").upper(),
        name=certificate.subject.get_attributes_for_oid(x509.NameOID.COMMON_NAME)[0].value,
        square=qrcode.make(own, image_factory=qrcode.image.svg.SvgPathImage, border=4).to_string().decode(),
    )
    allowed = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{allowed}'; frame-ancestors 'none'; base-uri 'none'"
    return {
        "/": ("text/html; charset=utf-8", page.encode()),
        CERTIFICATE: ("application/x-x509-ca-cert", certificate.public_bytes(serialization.Encoding.DER)),
    }, policy


class _Server(ThreadingHTTPServer):
    daemon_threads = True


def main(host: str, port: int, authority: Path, shop: str, own: str) -> None:
    """Serves until its standard input ends: also where the shop was stopped without a word."""
    given, policy = answers(x509.load_pem_x509_certificate(authority.read_bytes()), shop, own)
    _Server.address_family = AF_INET6 if ":" in host else AF_INET
    with _Server((host, port), partial(TrustPage, answers=given, policy=policy)) as server:
        threading.Thread(target=lambda: (sys.stdin.buffer.read(), server.shutdown()), daemon=True).start()
        server.serve_forever()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3]), sys.argv[4], sys.argv[5])
