"""Where things stand on this machine: the project, its private Python, the shop's data."""

import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DEPLOY = ROOT / "deploy"
PWA = ROOT / "pwa"
VENV = ROOT / ".venv"
WINDOWS = os.name == "nt"

PROGRAMS = VENV / ("Scripts" if WINDOWS else "bin")
PYTHON = PROGRAMS / ("python.exe" if WINDOWS else "python")
PIP = PROGRAMS / ("pip.exe" if WINDOWS else "pip")
SETUP_LOG = VENV / "set-up.log"


def data_home() -> Path:
    """The person's own folder for Coiltrail's data, outside the project so that no clean-up of a clone removes a shop.

    The XDG base directory specification on Linux and its kin; the makers' usual folders on macOS and Windows.
    """
    if WINDOWS:
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "Coiltrail"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "Coiltrail"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "coiltrail"


def default_data(demo: bool) -> Path:
    """The data directory used without ``--data``; the invented shop has one of its own and never meets a real one."""
    return data_home() / ("demo" if demo else "shop")
