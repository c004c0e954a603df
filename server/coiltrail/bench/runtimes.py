"""Where the diagnosis is measured: CPython, the phone's runtime in Chromium or in Node, and a library beside it.

Each gives milliseconds (the fastest of a few times, since the machine only ever adds) and can be stopped at a limit.
"""

import base64
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from .. import bytecode
from ..config import PWA
from ..trouble import Trouble

TIMES = 3
WARM_TIMES = 12  # on the phone's runtime, whose worker stays alive from question to question
PHONE_HEAP = 8 * 2**20  # bytes the phone's worker begins with
BENCH = Path(__file__).parent
FIELD = PWA / "field"
VENDOR = PWA / "node_modules/@micropython/micropython-webassembly-pyscript"
# For Chromium without a person: each window starts the popups of its address bar, a second of work that no phone has.
# The switch replaces the one by which Playwright turns off what gets in a test's way, so those names stand here too.
WITHOUT_POPUPS = "--disable-features=" + ",".join(
    (
        "WebUIOmniboxPopup",
        "WebUIOmniboxAimPopup",
        "WebUIOmniboxFullPopup",
        "AvoidUnnecessaryBeforeUnloadCheckSync",
        "DestroyProfileOnBrowserClose",
        "HttpsFirstBalancedModeAutoEnable",
        "HttpsUpgrades",
        "LensOverlay",
        "MediaRouter",
        "NetworkTimeServiceQuerying",
        "OptimizationHints",
        "PaintHolding",
        "PreconnectToSearch",
        "ThirdPartyStoragePartitioning",
    )
)
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


class TooLong(Exception):
    """It was stopped at the limit."""


@dataclass(frozen=True)
class OnPhone:
    """``first``: just started. ``peak``: bytes the heap held at most (0 unless sampled); ``heap``: its size."""

    ms: float
    first: float
    peak: int
    heap: int


Ask = Callable[..., OnPhone]  # (what, entries, heap=PHONE_HEAP, sampling=False)


def on_cpython(what: str, entries: list[dict], times: int, limit_s: float) -> float:
    """Milliseconds on this Python, in a process of its own."""
    given = {"what": what, "entries": json.dumps(entries), "times": times}
    return min(_output([sys.executable, "-c", _ON_CPYTHON], given, limit_s))


_ON_CPYTHON = """
import json, sys, time
from coiltrail.bench import thinking

given = json.load(sys.stdin)
took = []
while len(took) < given["times"] and sum(took) < 3000:
    thinking.begin(given["what"], given["entries"])
    began = time.perf_counter()
    while not (answer := thinking.advance()):
        pass
    took.append(1000 * (time.perf_counter() - began))
    if "error" in json.loads(answer):
        sys.exit(answer)
print(json.dumps(took))
"""


@dataclass(frozen=True)
class Compared:
    """Milliseconds of the library and of the diagnosis on one network, with ``free`` components (None: all)."""

    library: float
    ours: float
    free: int | None


def in_library(entries: list[dict], times: int, limit_s: float) -> Compared:
    """A general-purpose Bayesian-network library beside the diagnosis, for the same marginals, on one core.

    The network is drawn by the tests' own reading of the log, before the time runs. Raises Trouble where the library
    is missing or even a part of the network is too large for it.
    """
    command = [sys.executable, "-m", "coiltrail.bench.library"]
    return Compared(**_output(command, {"entries": entries, "times": times}, limit_s))


@contextmanager
def in_node(times: int, limit_s: float) -> Iterator[Ask]:
    """The phone's runtime in Node, a process for each question."""
    _need(shutil.which("node"), "Node.js is not on this machine")
    _need(VENDOR.is_dir(), f"the page's modules are missing: run python3 {PWA.parent / 'deploy' / 'run.py'} once")

    def ask(what: str, entries: list[dict], heap: int = PHONE_HEAP, sampling: bool = False) -> OnPhone:
        command = [
            "node",
            "--input-type=module",
            "-e",
            _IN_NODE,
            str(VENDOR / "micropython.mjs"),
            str(BENCH / "phone.mjs"),
            str(FIELD / "runtime.js"),
        ]
        return _on_phone(_output(command, _question(what, entries, heap, times, sampling), limit_s))

    yield ask


_IN_NODE = """
import { readFileSync } from 'node:fs';
const question = JSON.parse(readFileSync(0, 'utf8')); // before the runtime, which takes over the input
const [runtime, measuring, field] = process.argv.slice(1);
const { loadMicroPython } = await import(runtime);
const { measure } = await import(measuring);
console.log(JSON.stringify(await measure(loadMicroPython, await import(field), question)));
"""


@contextmanager
def in_chromium(times: int, limit_s: float) -> Iterator[Ask]:
    """The phone's runtime in a module worker of a real Chromium, a worker for each question."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        raise Trouble("Playwright is not installed: python3 deploy/test.py installs it; or give --quick") from None
    browser_path = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, BROWSERS)), None)
    _need(browser_path, "no Chromium is on this machine: name it in CHROMIUM, or give --quick")
    _need(VENDOR.is_dir(), f"the page's modules are missing: run python3 {PWA.parent / 'deploy' / 'run.py'} once")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path, args=["--no-sandbox", WITHOUT_POPUPS])
        page = browser.new_page()
        page.route("http://phone.test/**", _serve)
        page.goto("http://phone.test/")

        def ask(what: str, entries: list[dict], heap: int = PHONE_HEAP, sampling: bool = False) -> OnPhone:
            question = _question(what, entries, heap, times, sampling)
            told = page.evaluate(_IN_CHROMIUM, [question, limit_s * 1000])
            if told is None:
                raise TooLong
            if isinstance(told, str):
                raise Trouble(told)
            return _on_phone(told)

        try:
            yield ask
        finally:
            browser.close()


_WORKER = """
import { loadMicroPython } from '/micropython.mjs';
import { measure } from '/phone.mjs';
import * as field from '/runtime.js';
const measured = (data) => measure(loadMicroPython, field, data);
self.onmessage = ({ data }) => measured(data).then(postMessage, (error) => postMessage(String(error)));
"""

# What the worker says, or null where it took too long.
_IN_CHROMIUM = """([question, limit]) => new Promise((resolve) => {
  const worker = new Worker('/worker.mjs', { type: 'module' });
  const end = (told) => { worker.terminate(); resolve(told); };
  setTimeout(end, limit, null);
  worker.onerror = (event) => end(event.message);
  worker.onmessage = ({ data }) => end(data);
  worker.postMessage(question);
})"""


def _serve(route) -> None:
    name = route.request.url.rsplit("/", 1)[1]
    script = {"content_type": "text/javascript"}
    if name == "":
        route.fulfill(body="<!doctype html><title>Bench</title>", content_type="text/html")
    elif name == "worker.mjs":
        route.fulfill(body=_WORKER, **script)
    elif name == "phone.mjs":
        route.fulfill(body=(BENCH / name).read_text(), **script)
    elif name in ("runtime.js", "contractions.js"):
        route.fulfill(body=(FIELD / name).read_text(), **script)
    elif name == "micropython.wasm":
        route.fulfill(body=(VENDOR / name).read_bytes(), content_type="application/wasm")
    elif name == "micropython.mjs":
        route.fulfill(body=(VENDOR / name).read_text(), **script)
    else:
        route.fulfill(status=404)


def _question(what: str, entries: list[dict], heap: int, times: int, sampling: bool) -> dict:
    files = {f"core/{name}": body for name, body in bytecode.modules().items()}
    files |= {"bench/__init__.py": b"", "bench/thinking.py": (BENCH / "thinking.py").read_bytes()}
    as_text = {path: base64.b64encode(body).decode() for path, body in files.items()}
    question = {"files": as_text, "what": what, "entries": json.dumps(entries)}
    return question | {"heap": heap, "times": times, "sampling": sampling}


def _on_phone(told: dict) -> OnPhone:
    return OnPhone(min(told["took"]), told["took"][0], told["peak"], told["heap"])


def _output(command: list[str], given: dict, limit_s: float):
    """What a program prints as JSON. Raises TooLong; Trouble with the last line it complains with."""
    try:
        done = subprocess.run(command, input=json.dumps(given), capture_output=True, text=True, timeout=limit_s)
    except subprocess.TimeoutExpired:
        raise TooLong from None
    if done.returncode:
        raise Trouble(_complaint(done.stderr) or f"it ended with {done.returncode}")
    return json.loads(done.stdout)


def _complaint(said: str) -> str:
    """The line of a program's complaint that names the error."""
    lines = [line for line in said.splitlines() if line.strip()]
    return ([line for line in lines if re.match(r"\w*Error", line)] or lines or [""])[-1]


def _need(there: object, otherwise: str) -> None:
    if not there:
        raise Trouble(otherwise)
