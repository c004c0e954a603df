"""A shop whose servers come out of one process that has imported everything: to start one takes a tenth of the time.

Each is a process of its own, with a worker of its own, as ``coiltrail serve`` makes them.
"""

import os
import select
import signal
import subprocess
import sys
from pathlib import Path

from tests.browser.serving import Shop


class WarmShop(Shop):
    """Started, killed and started again. ``end`` is for good."""

    def __init__(self, data: Path):
        super().__init__(data)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.chaos.warm_server", "serve", "--port", str(self.port)],
            env=self.environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self.server: int | None = None

    def start(self) -> None:
        self.process.stdin.write("start\n")
        self.process.stdin.flush()
        self.server = int(self.process.stdout.readline())
        self._await_answer()

    def kill(self) -> None:
        """By SIGKILL: no process of the server gets to end anything."""
        workers = Path(f"/proc/{self.server}/task/{self.server}/children").read_text().split()
        for one in (self.server, *map(int, workers)):
            process = os.pidfd_open(one)
            os.kill(one, signal.SIGKILL)
            select.select([process], [], [])  # until it is gone, and the port is free
            os.close(process)
        assert self.process.stdout.readline() == "ended\n"
        self.server = None

    def end(self) -> None:
        if self.server:
            self.kill()
        self.process.communicate()


def main() -> None:
    """Start a server for each line of standard input, once the one before has ended."""
    from granian import Granian  # noqa: F401

    import coiltrail.app
    import coiltrail.serve  # noqa: F401
    from coiltrail import cli

    for _ in sys.stdin:
        server = os.fork()
        if not server:
            os._exit(cli.main(sys.argv[1:]))
        print(server, flush=True)
        os.waitpid(server, 0)
        print("ended", flush=True)


if __name__ == "__main__":
    main()
