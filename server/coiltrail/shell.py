"""What a phone downloads: the page, the core, third-party modules, and the list of all of them.

Nothing here needs a sign-in: a login page could otherwise be stored as part of the application. The list
(``/release.json``) carries the hash of every file; the phone installs from it, and keeps only what is its hash.
"""

import base64
import gzip
import hashlib
import json
import mimetypes
import posixpath
import re
from collections.abc import Container, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache, partial
from pathlib import Path

import brotli
from flask import Blueprint, Flask, Response, current_app, request
from werkzeug.exceptions import NotFound

from . import bytecode, languages
from .core import entries
from .kept import kept

# Folders of pwa/ that are served as they lie there.
FOLDERS = ("app", "field", "icons")
# Files of pwa/ by the address they are served at. The report's style also goes with a report that stands alone.
PAGES = {
    "/": "index.html",
    "/manifest.webmanifest": "manifest.webmanifest",
    "/styles/report.css": "styles/report.css",
    "/sw.js": "sw.js",
}
# The page's style, served as one file, since each request of a start costs a phone milliseconds. Later ones rule.
STYLES = ("paper", "controls", "sheet", "drawing", "screens", "case", "work", "camera", "report", "print")
PAGE_STYLE = "/styles/page.css"
CORE_PACK = "/core.pack"
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
# Folders whose files travel together as /packs/<folder> on a first visit: one answer in place of two hundred.
PACKED = ("app", "field")
# A worker's policy stands in the headers of its own answer, so its script is never taken out of a pack.
WORKERS = ("/field/core-worker.js", "/field/scan-worker.js", "/sw.js")
# What pwa/join.mjs has put together, in the place of the modules that it was made of.
JOINED = "node_modules/.joined"
# The browser keeps the service worker itself; everything else the worker keeps.
NOT_INSTALLED = ("/sw.js",)

_TYPES = {
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
}
PACK_TYPE = "application/octet-stream"
_COMPRESSIBLE = (
    PACK_TYPE,
    "text/",
    "application/json",
    "application/wasm",
    "application/manifest+json",
    "image/svg+xml",
)
# Best first.
_ENCODINGS = {"br": partial(brotli.compress, quality=11), "gzip": partial(gzip.compress, compresslevel=9, mtime=0)}
_INLINE = re.compile(rb"<script\b(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL | re.IGNORECASE)

_LOADED = re.compile(r'<link rel="(?:modulepreload|stylesheet)" href="([^"]+)"')
# Comments that have their lines to themselves.
_COMMENT = re.compile(rb"^[ \t]*(?:/\*(?:(?!\*/).)*\*/|//[^\n]*)[ \t]*$", re.MULTILINE | re.DOTALL)
_IMPORTED = re.compile(r"^(?:import|export)\b[^;']*'(\.[^']+)'", re.MULTILINE)

blueprint = Blueprint("shell", __name__)


@dataclass(frozen=True)
class ShellFile:
    """A file as it is served."""

    body: bytes
    sha256: str
    type: str

    @classmethod
    def of(cls, body: bytes, type_: str) -> "ShellFile":
        return cls(body, hashlib.sha256(body).hexdigest(), type_)

    def encoding(self, accepted: Container[str]) -> str | None:
        """The best of the encodings that are ``accepted``; None for what is packed in itself."""
        if not self.type.startswith(_COMPRESSIBLE):
            return None
        return next((encoding for encoding in _ENCODINGS if encoding in accepted), None)


class Shell:
    """The files of the shell by their addresses, read from disk when they change."""

    def __init__(self, pwa: Path):
        self.pwa = pwa
        self.joined = pwa / JOINED
        self.packed = pwa / "node_modules" / ".packed"  # goes with the modules whenever they are installed anew
        self._read: dict[Path, tuple[tuple[int, int], ShellFile]] = {}
        self._digests: dict[Path, tuple[tuple[int, int], str]] = {}
        self._paths = self._find()

    @cached_property
    def _composed(self) -> dict[str, ShellFile]:
        """What lies in no file. Made when first asked for: it takes half a second, and most commands need none."""
        return {"/kinds.json": _json_file(entries.declaration()), CORE_PACK: _core_file()} | {
            f"/languages/{language}.json": _json_file(languages.catalogue(language))
            for language in languages.LANGUAGES
            if language != languages.ENGLISH
        }

    def prepare(self) -> None:
        """Have everything at hand, so that the first phone waits for nothing and fetches nothing twice meanwhile."""
        self.release()

    def file(self, address: str) -> ShellFile | None:
        """The file served at ``address``. Addresses are looked up in a list, never joined to a path."""
        path = self._paths.get(address)
        if path is None and address in self._composed:
            return self._composed[address]
        if address == PAGE_STYLE:
            return self._page_style()
        if path is None:
            self._paths = self._find()  # perhaps it is new
            path = self._paths.get(address)
        return self._load(path) if path and path.is_file() else None

    def release(self) -> dict:
        """``{"release": hash over all, "files": [{"path", "sha256", "bytes"}]}``, with ``pack`` and ``type`` if packed.

        A pack is the bytes of its files, one after the other in the order of the list. A file that the first start
        need not wait for has ``"later": true``.
        """
        installed = self._installed()
        packs = self._packs(installed)
        files = []
        for address, file in installed.items():
            packed = {"pack": packs[address], "type": file.type} if address in packs else {}
            later = {"later": True} if _is_for_later(address) else {}
            files.append({"path": address, "sha256": file.sha256, "bytes": len(file.body), **packed, **later})
        listed = "".join(f"{file['path']} {file['sha256']}\n" for file in files)
        return {"release": hashlib.sha256(listed.encode()).hexdigest(), "files": files}

    def pack(self, address: str) -> ShellFile:
        """The files that are packed at ``address`` as they are now; a phone that holds another list finds it out."""
        installed = self._installed()
        packed = [installed[path].body for path, pack in self._packs(installed).items() if pack == address]
        return ShellFile.of(b"".join(packed), PACK_TYPE)

    def _packs(self, installed: Mapping[str, ShellFile]) -> dict[str, str]:
        """The pack of each file that is in one. What page and worker load by themselves need not travel again."""
        page = installed.get("/")
        alone = {*WORKERS, *(_LOADED.findall(page.body.decode()) if page else ()), *self._imported("/sw.js")}
        folders = {path: path.split("/")[1] for path in installed if path not in alone}
        return {path: f"/packs/{folder}" for path, folder in folders.items() if folder in PACKED}

    def _imported(self, address: str) -> set[str]:
        """The modules that a module of ours imports before it runs, and those that they import."""
        found: set[str] = set()
        needed = [address]
        while needed:
            at = needed.pop()
            file = self.file(at)
            for name in _IMPORTED.findall(file.body.decode()) if file else ():
                path = posixpath.normpath(posixpath.join(posixpath.dirname(at), name))
                if path not in found:
                    found.add(path)
                    needed.append(path)
        return found

    def _installed(self) -> dict[str, ShellFile]:
        """Every file that a phone keeps by its address, in the order of the list."""
        self._paths = self._find()
        read = {address: self._load(path) for address, path in self._paths.items() if address not in NOT_INSTALLED}
        return dict(sorted((read | self._composed | {PAGE_STYLE: self._page_style()}).items()))

    def _page_style(self) -> ShellFile:
        files = (self.pwa / "styles" / f"{name}.css" for name in STYLES)
        return ShellFile.of(b"\n".join(self._load(path).body for path in files if path.is_file()), "text/css")

    def inline_hashes(self) -> list[str]:
        """Content security policy sources for what stands in the page itself: the import map, the theme."""
        page = self.file("/")
        found = _INLINE.findall(page.body) if page else []
        return [f"'sha256-{base64.b64encode(hashlib.sha256(text).digest()).decode()}'" for text in found]

    def _find(self) -> dict[str, Path]:
        found = {address: self.pwa / name for address, name in PAGES.items()}
        found |= {f"/vendor/{name}": self.pwa / "node_modules" / name for name in (*VENDOR, *LATER)}
        for folder in FOLDERS:
            found |= _files_of(self.pwa, folder)
        found = {address: path for address, path in found.items() if path.is_file()}
        made = self._made(found)
        if made:
            for address in made["vendors"]:
                found.pop(address, None)
            found |= {"/": self.joined / "index.html", "/sw.js": self.joined / "sw.js"}
            found |= _files_of(self.joined, "app") | _files_of(self.joined, "field")
        return found

    def _made(self, found: Mapping[str, Path]) -> dict | None:
        """What the modules that are put together were made of, if those are the modules as they are now."""
        with suppress(OSError, ValueError):
            made = json.loads((self.joined / "made.json").read_text())
            modules = {address[1:]: path for address, path in found.items() if _is_module(address)}
            sources = modules | {"index.html": found["/"], "sw.js": found["/sw.js"]}
            if {name: self._digest(path) for name, path in sources.items()} == made["sources"]:
                return made
        return None

    def _digest(self, path: Path) -> str:
        stamp = _stamp(path)
        held = self._digests.get(path)
        if held is None or held[0] != stamp:
            held = (stamp, hashlib.sha256(path.read_bytes()).hexdigest())
            self._digests[path] = held
        return held[1]

    def _load(self, path: Path) -> ShellFile:
        stamp = _stamp(path)
        held = self._read.get(path)
        if held is None or held[0] != stamp:
            body = path.read_bytes()
            of_others = path.is_relative_to(self.pwa / "node_modules") and not path.is_relative_to(self.joined)
            if path.suffix == ".js" and not of_others:
                body = without_comments(body)
            held = (stamp, ShellFile.of(body, _type_of(path)))
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
@blueprint.get(CORE_PACK)
@blueprint.get("/<any(app, field, styles, icons, languages, vendor):folder>/<path:rest>")
def serve(**_: str) -> Response:
    """One file of the shell."""
    file = of_app().file(request.path)
    if file is None:
        raise NotFound
    response = answer(file)
    if request.path == "/sw.js":
        response.headers["Service-Worker-Allowed"] = "/"
    return response


@blueprint.get(f"/packs/<any({', '.join(PACKED)}):folder>")
def pack(**_: str) -> Response:
    """All files of a folder in one answer."""
    return answer(of_app().pack(request.path))


@blueprint.get("/release.json")
def release() -> Response:
    """What to install, and the hash of each file."""
    return answer(ShellFile.of(json.dumps(of_app().release()).encode(), "application/json"))


def answer(file: ShellFile) -> Response:
    """``file`` as a response: always asked for again, but sent only when it changed."""
    encoding = file.encoding(request.accept_encodings)
    response = Response(_encoded(file.body, encoding, of_app().packed) if encoding else file.body, mimetype=file.type)
    if encoding:
        response.headers["Content-Encoding"] = encoding
    response.headers["Vary"] = "Accept-Encoding"
    response.headers["Cache-Control"] = "no-cache"
    response.set_etag(f"{file.sha256}-{encoding}" if encoding else file.sha256)
    return response.make_conditional(request)


@lru_cache(maxsize=1024)
def _encoded(body: bytes, encoding: str, folder: Path) -> bytes:
    """``body`` packed; kept in ``folder``, since packing so well takes seconds, and not again with each start."""
    file = folder / f"{hashlib.sha256(body).hexdigest()}.{encoding}"
    return kept(file, lambda: _ENCODINGS[encoding](body))


@cache
def _core_file() -> ShellFile:
    return ShellFile.of(core_pack(bytecode.modules()), PACK_TYPE)


def core_pack(files: Mapping[str, bytes]) -> bytes:
    """The core in one file: a line of JSON with name and length of each file, then their bytes in this order."""
    index = json.dumps([[name, len(body)] for name, body in files.items()])
    return b"".join((index.encode(), b"\n", *files.values()))


def without_comments(source: bytes) -> bytes:
    """A module of ours without its comments, a fifth of what a phone would fetch. Each line keeps its number."""
    return _COMMENT.sub(lambda comment: b"\n" * comment[0].count(b"\n"), source)


def _json_file(data: Mapping) -> ShellFile:
    return ShellFile.of(json.dumps(data, ensure_ascii=False, sort_keys=True).encode(), "application/json")


def _files_of(root: Path, folder: str) -> dict[str, Path]:
    """The files of a folder by their addresses, but for hidden ones."""
    files = {path.relative_to(root): path for path in (root / folder).rglob("*")}
    return {
        "/" + name.as_posix(): path
        for name, path in files.items()
        if path.is_file() and not any(part.startswith(".") for part in name.parts)
    }


def _is_module(address: str) -> bool:
    return address.startswith(("/app/", "/field/")) and address.endswith(".js")


def _stamp(path: Path) -> tuple[int, int]:
    stat = path.stat()
    return stat.st_mtime_ns, stat.st_size


def _is_for_later(address: str) -> bool:
    return address.startswith(("/icons/", "/languages/")) or address.removeprefix("/vendor/") in LATER


def _type_of(path: Path) -> str:
    return _TYPES.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
