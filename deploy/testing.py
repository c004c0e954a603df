"""The test command: everything that must hold before a change is taken, with a real browser."""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

import debian
from engines import find_engines
from places import PROGRAMS, PWA, PYTHON, ROOT
from preparing import prepare, with_programs
from trouble import Trouble

# Debian, Ubuntu, Fedora and Arch, then the usual places on macOS and Windows.
BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
)


def main(arguments: list[str]) -> int:
    """The command; returns its exit code: 0 only when every check ran and passed."""
    parser = argparse.ArgumentParser(
        prog="test.py",
        description="Sets up what the tests need and runs them all: ruff, the page's types, pytest with real browsers.",
        epilog="Anything else is handed to pytest, for example: test.py tests/core -k swap",
        allow_abbrev=False,
    )
    parser.add_argument(
        "--quick", action="store_true", help="leave out the tests that need a browser (tests/browser, tests/engines)"
    )
    options, for_pytest = parser.parse_known_args(arguments)
    left_out = ["tests/browser", "tests/engines"] if options.quick else []
    try:
        prepare(tests=True)
        environment = with_programs()
        if not options.quick:
            environment["CHROMIUM"] = find_chromium()
            if not find_engines():
                print("tests/engines is left out: WebKitGTK is for Linux only.", flush=True)
                left_out = ["tests/engines"]
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 1
    return run_all(environment, left_out=left_out, for_pytest=for_pytest)


def run_all(environment: dict[str, str], *, left_out: Sequence[str], for_pytest: Sequence[str]) -> int:
    """Runs every check, also after one has failed, and closes with the counts; returns the exit code."""
    npm = shutil.which("npm", path=environment["PATH"])
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        # A file's tests share a server and a browser, so a file is one worker's; the files begin in the order of
        # tests/conftest.py, the longest first.
        shared_out = ["-n", str(os.cpu_count() or 1), "--dist", "loadfile", "--no-loadscope-reorder"]
        ignored = [f"--ignore={folder}" for folder in left_out]
        pytest = [PYTHON, "-m", "pytest", f"--junit-xml={report}", *shared_out, *ignored]
        checks = [
            ("ruff check", [PROGRAMS / "ruff", "check", "."], ROOT),
            ("ruff format", [PROGRAMS / "ruff", "format", "--check", "."], ROOT),
            ("types of the page", [npm, "run", "--silent", "check-types"], PWA),
            ("pytest", [*pytest, *for_pytest], ROOT),
        ]
        ended = {}
        for name, command, where in checks:
            print(f"\n== {name}", flush=True)
            ended[name] = subprocess.run(command, cwd=where, env=environment).returncode
        tests = counted(report)
    print("\n== summary")
    for name, code in ended.items():
        print(f"{name:<20} {'passed' if code == 0 else f'FAILED (exit code {code})'}")
    total = summed_up(ended, tests)
    print(closing_line(total), flush=True)
    return 1 if total.failed else 0


class Counts(NamedTuple):
    """How pytest's tests ended; errors in setting a test up count as failures."""

    passed: int
    failed: int
    skipped: int


def counted(report: Path) -> Counts:
    """The counts in pytest's own report (JUnit XML); none when it wrote no report."""
    totals = dict.fromkeys(("tests", "failures", "errors", "skipped"), 0)
    if report.is_file():
        for suite in ElementTree.parse(report).getroot().iter("testsuite"):
            for name in totals:
                totals[name] += int(suite.get(name, 0))
    failed = totals["failures"] + totals["errors"]
    return Counts(totals["tests"] - failed - totals["skipped"], failed, totals["skipped"])


def summed_up(ended: dict[str, int], tests: Counts) -> Counts:
    """All counts together: each check is one, pytest is its tests. ``ended`` holds exit codes by name.

    A pytest that failed for another reason than a test (nothing collected, a wrong option) counts as one failure.
    """
    others = [code for name, code in ended.items() if name != "pytest"]
    failed = sum(code != 0 for code in others)
    return Counts(
        passed=tests.passed + len(others) - failed,
        failed=max(tests.failed, ended["pytest"] != 0) + failed,
        skipped=tests.skipped,
    )


def closing_line(total: Counts) -> str:
    """The last line of the output."""
    return f"{total.passed} passed, {total.failed} failed" + (f", {total.skipped} skipped" if total.skipped else "")


def find_chromium() -> str:
    """A real Chromium: the one CHROMIUM names, else one of the usual ones, else Debian's, installed. Raises Trouble."""
    named = os.environ.get("CHROMIUM")
    if named:
        if not shutil.which(named):
            raise Trouble(f"CHROMIUM names {named}, which is no program on this machine: correct it or unset it.")
        return named
    found = _usual_chromium()
    if not found:
        debian.install("chromium")
        found = _usual_chromium()
    if not found:
        raise Trouble(
            "The tests need Chromium and none was found: install it (Debian: 'apt install chromium'), or name one in "
            "the environment variable CHROMIUM, or leave the browser out with --quick."
        )
    return found


def _usual_chromium() -> str | None:
    return next(filter(None, map(shutil.which, BROWSERS)), None)
