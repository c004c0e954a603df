"""A small site with releases of its own making, which can be changed, spoilt and cut off at will."""

import hashlib
import json
import threading
from collections import Counter
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from coiltrail.config import PWA

from .serving import free_port

PAGE = '<!doctype html><title>{name}</title><script type="module" src="/boot.js"></script><p id="page">{name}</p>'
BOOT = """
import {{ releaseState, watchRelease }} from '/field/release.js';
document.documentElement.dataset.boot = '{name}';
releaseState.subscribe((state) => {{ document.documentElement.dataset.state = JSON.stringify(state); }});
watchRelease();
"""
TYPES = {"js": "text/javascript", "json": "application/json", "html": "text/html"}


class ReleaseSite:
    """Serves the real worker and the modules it needs, with a page that shows the name of its release."""

    def __init__(self):
        self.files: dict[str, bytes] = {}
        self.lies: dict[str, bytes] = {}  # path -> what is sent in place of the file
        self.redirected: set[str] = set()
        self.later: set[str] = set()  # what the first start does not wait for
        self.never_newer: set[str] = set()  # paths whose copy in a browser's cache is always said to be good
        self.asked: Counter[str] = Counter()
        self.port = free_port()
        self.address = f"http://localhost:{self.port}"
        self.publish("one")
        self._server = ThreadingHTTPServer(("127.0.0.1", self.port), self._handler())
        self._server.daemon_threads = True
        self._thread = threading.Thread(target=self._server.serve_forever)
        self._thread.start()

    def publish(self, name: str) -> None:
        """Make ``name`` the newest release."""
        files = {"/": PAGE.format(name=name).encode(), "/boot.js": BOOT.format(name=name).encode()}
        for path in (PWA / "field").glob("*.js"):
            files[f"/field/{path.name}"] = path.read_bytes()
        files["/vendor/idb/build/index.js"] = (PWA / "node_modules/idb/build/index.js").read_bytes()
        self.files = files

    def release(self) -> dict:
        files = [
            {"path": path, "sha256": hashlib.sha256(body).hexdigest(), "bytes": len(body)}
            | ({"later": True} if path in self.later else {})
            for path, body in sorted(self.files.items())
        ]
        return {"release": hashlib.sha256(json.dumps(files).encode()).hexdigest(), "files": files}

    def stop(self) -> None:
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()

    def _answer(self, path: str) -> tuple[int, dict[str, str], bytes]:
        if path in self.redirected:
            return 302, {"Location": "/lies-elsewhere"}, b""
        if path == "/lies-elsewhere":
            return 200, {"Content-Type": "text/html"}, b"<h1>Welcome to this network</h1>"
        if path.lower().startswith("/t/"):
            return 200, {"Content-Type": "text/html", "Cache-Control": "no-store"}, b"<title>A stranger's page</title>"
        if path == "/api/count":
            return 200, {"Content-Type": "application/json"}, json.dumps(self.asked[path]).encode()
        if path == "/release.json":
            body = json.dumps(self.release()).encode()
        elif path == "/sw.js":
            body = (PWA / "sw.js").read_bytes()
        else:
            body = self.lies.get(path, self.files.get(path))
        if body is None:
            return 404, {}, b""
        kind = TYPES[path.rpartition(".")[2]] if "." in path else TYPES["html"]
        return 200, {"Content-Type": kind}, body

    def _handler(site):
        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"  # browsers compare ETags of no older one

            def do_GET(self):
                path = self.path.partition("?")[0]
                site.asked[path] += 1
                status, headers, body = site._answer(path)
                if path in site.never_newer:
                    headers["ETag"] = '"always"'
                    if self.headers["If-None-Match"]:
                        status, body = 304, b""
                self.send_response(status)
                for name, value in {"Cache-Control": "no-cache", "Content-Length": str(len(body)), **headers}.items():
                    self.send_header(name, value)
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_):
                pass

        return Handler
