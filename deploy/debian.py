"""What the tests need of the system, put there where that is possible."""

import os
import shutil
import subprocess


def install(*packages: str) -> None:
    """Installs them where this is Debian or its like and we are root; nothing anywhere else."""
    if not packages or not shutil.which("apt-get") or os.geteuid() != 0:
        return
    print(f"Setting up: installing {', '.join(packages)} with apt-get ...", flush=True)
    for command in (["update"], ["install", "--yes", "--no-install-recommends", *packages]):
        subprocess.run(
            ["apt-get", "--quiet", *command],
            env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"},
            stdin=subprocess.DEVNULL,
        )
