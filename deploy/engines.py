"""The engines of other phones than Chromium's, for tests/engines: WebKitGTK, nearest to an iPhone's, and Firefox."""

import shutil
import subprocess
import sys
from collections.abc import Iterator

import debian
from trouble import Trouble

SYSTEM_PYTHON = "/usr/bin/python3"
BINDINGS = "import gi; gi.require_version('WebKit2', '4.1'); from gi.repository import WebKit2"


def find_engines() -> bool:
    """Whether they can be here: WebKitGTK is for Linux. Installs what is missing, or raises Trouble that names it."""
    if sys.platform != "linux":
        return False
    debian.install(*missing())
    if still := list(missing()):
        raise Trouble(
            "The tests use WebKitGTK and Firefox too, and something is missing for them: install it (Debian: "
            f"'apt install {' '.join(still)}'), or leave all browsers out with --quick."
        )
    return True


def missing() -> Iterator[str]:
    """Debian's packages of what is not there."""
    if not shutil.which("WebKitWebDriver"):
        yield "webkit2gtk-driver"
    if not _has_bindings():
        yield from ("python3-gi", "gir1.2-webkit2-4.1")
    if not shutil.which("Xvfb"):
        yield "xvfb"
    if not shutil.which("firefox-esr") and not shutil.which("firefox"):
        yield "firefox-esr"


def _has_bindings() -> bool:
    try:
        return subprocess.run([SYSTEM_PYTHON, "-c", BINDINGS], capture_output=True).returncode == 0
    except OSError:
        return False
