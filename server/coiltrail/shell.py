"""What a phone downloads: the page, the core's files, third-party modules, and the list of all of them.

Nothing here needs a sign-in: a login page could otherwise be stored as part of the application. The list
(``/release.json``) carries the hash of every file; the phone installs from it, and keeps only what is its hash.
"""

import base64
import gzip
import hashlib
import json
import mimetypes
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from flask import Blueprint, Flask, Response, current_app, request
from werkzeug.exceptions import NotFound

from . import languages
from .core import entries

CORE = Path(entries.__file__).parent
# Folders of pwa/ that are served as they lie there.
FOLDERS = ("app", "field", "styles", "icons")
# Files of pwa/ by the address they are served at.
PAGES = {"/": "index.html", "/manifest.webmanifest": "manifest.webmanifest", "/sw.js": "sw.js"}
# All of node_modules that the import map and the core's worker need.
VENDOR = (
    "@micropython/micropython-webassembly-pyscript/micropython.mjs",
    "@micropython/micropython-webassembly-pyscript/micropython.wasm",
    "@preact/signals-core/dist/signals-core.mjs",
    "@preact/signals/dist/signals.mjs",
    "htm/dist/htm.mjs",
    "idb/build/index.js",
    "preact/dist/preact.mjs",
    "preact/hooks/dist/hooks.mjs",
    "qr/index.js",
)
# The reader of squares, as large as all the rest: a phone fetches it when the first start is done.
LATER = (
    "zxing-wasm/dist/es/reader/index.js",
    "zxing-wasm/dist/es/share.js",
    "zxing-wasm/dist/reader/zxing_reader.wasm",
)
# The browser keeps the service worker itself; everything else the worker keeps.
NOT_INSTALLED = ("/sw.js",)

_LATER_ADDRESSES = {f"/vendor/{name}" for name in LATER}

_TYPES = {
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".py": "text/x-python",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
}
_COMPRESSIBLE = ("text/", "application/json", "application/wasm", "application/manifest+json", "image/svg+xml")
_IMPORT_MAP = re.compile(rb"<script\s[^>]*type=[\"']importmap[\"'][^>]*>(.*?)</script>", re.DOTALL | re.IGNORECASE)

blueprint = Blueprint("shell", __name__)


@dataclass(frozen=True)
class ShellFile:
    """A file as it is served."""

    body: bytes
    gzipped: bytes | None
    sha256: str
    type: str

    @classmethod
    def of(cls, body: bytes, type_: str) -> "ShellFile":
        gzipped = gzip.compress(body, 6, mtime=0) if type_.startswith(_COMPRESSIBLE) else None
        return cls(body, gzipped, hashlib.sha256(body).hexdigest(), type_)


class Shell:
    """The files of the shell by their addresses, read from disk when they change."""

    def __init__(self, pwa: Path):
        self.pwa = pwa
        self.kinds = ShellFile.of(_json(entries.declaration()), "application/json")
        self._languages = {
            f"/languages/{language}.json": ShellFile.of(_json(languages.catalogue(language)), "application/json")
            for language in languages.LANGUAGES
            if language != languages.ENGLISH
        }
        self._read: dict[Path, tuple[tuple[int, int], ShellFile]] = {}
        self._paths = self._find()

    def file(self, address: str) -> ShellFile | None:
        """The file served at ``address``. Addresses are looked up in a list, never joined to a path."""
        if address == "/kinds.json":
            return self.kinds
        if address in self._languages:
            return self._languages[address]
        path = self._paths.get(address)
        if path is None:
            self._paths = self._find()  # perhaps it is new
            path = self._paths.get(address)
        return self._load(path) if path and path.is_file() else None

    def release(self) -> dict:
        """``{"release": hash over all, "files": [{"path", "sha256", "bytes"}]}``, with ``"later": true`` on some."""
        self._paths = self._find()
        installed = {address: self._load(path) for address, path in self._paths.items() if address not in NOT_INSTALLED}
        installed |= {"/kinds.json": self.kinds} | self._languages
        files = [
            {"path": address, "sha256": file.sha256, "bytes": len(file.body)}
            | ({"later": True} if address in _LATER_ADDRESSES else {})
            for address, file in sorted(installed.items())
        ]
        listed = "".join(f"{file['path']} {file['sha256']}\n" for file in files)
        return {"release": hashlib.sha256(listed.encode()).hexdigest(), "files": files}

    def import_map_hashes(self) -> list[str]:
        """Content security policy sources for the inline import map of the page."""
        page = self.file("/")
        found = _IMPORT_MAP.findall(page.body) if page else []
        return [f"'sha256-{base64.b64encode(hashlib.sha256(text).digest()).decode()}'" for text in found]

    def _find(self) -> dict[str, Path]:
        found = {address: self.pwa / name for address, name in PAGES.items()}
        found |= {f"/vendor/{name}": self.pwa / "node_modules" / name for name in (*VENDOR, *LATER)}
        found |= {f"/core/{path.name}": path for path in CORE.glob("*.py")}
        for folder in FOLDERS:
            for path in (self.pwa / folder).rglob("*"):
                if not any(part.startswith(".") for part in path.relative_to(self.pwa).parts):
                    found["/" + path.relative_to(self.pwa).as_posix()] = path
        return {address: path for address, path in found.items() if path.is_file()}

    def _load(self, path: Path) -> ShellFile:
        stat = path.stat()
        stamp = (stat.st_mtime_ns, stat.st_size)
        held = self._read.get(path)
        if held is None or held[0] != stamp:
            held = (stamp, ShellFile.of(path.read_bytes(), _type_of(path)))
            self._read[path] = held
        return held[1]


def register(app: Flask, pwa: Path) -> None:
    app.extensions["coiltrail.shell"] = Shell(pwa)
    app.register_blueprint(blueprint)


def of_app() -> Shell:
    """The shell of the running application."""
    return current_app.extensions["coiltrail.shell"]


@blueprint.get("/")
@blueprint.get("/sw.js")
@blueprint.get("/manifest.webmanifest")
@blueprint.get("/kinds.json")
@blueprint.get("/<any(app, field, styles, icons, core, languages, vendor):folder>/<path:rest>")
def serve(**_: str) -> Response:
    """One file of the shell."""
    file = of_app().file(request.path)
    if file is None:
        raise NotFound
    response = answer(file)
    if request.path == "/sw.js":
        response.headers["Service-Worker-Allowed"] = "/"
    return response


@blueprint.get("/release.json")
def release() -> Response:
    """What to install, and the hash of each file."""
    return answer(ShellFile.of(json.dumps(of_app().release()).encode(), "application/json"))


def answer(file: ShellFile) -> Response:
    """``file`` as a response: always asked for again, but sent only when it changed."""
    zipped = file.gzipped is not None and "gzip" in request.accept_encodings
    response = Response(file.gzipped if zipped else file.body, mimetype=file.type)
    if zipped:
        response.headers["Content-Encoding"] = "gzip"
    response.headers["Vary"] = "Accept-Encoding"
    response.headers["Cache-Control"] = "no-cache"
    response.set_etag(file.sha256 + ("-gzip" if zipped else ""))
    return response.make_conditional(request)


def _json(data: Mapping) -> bytes:
    return json.dumps(data, ensure_ascii=False, sort_keys=True).encode()


def _type_of(path: Path) -> str:
    return _TYPES.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
