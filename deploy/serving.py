"""The run command: set up where needed, then serve the shop's data directory until Ctrl-C."""

import argparse
import errno
import signal
import socket
import subprocess
import sys
from pathlib import Path
from typing import NoReturn

from places import DEPLOY, PYTHON, WINDOWS, default_data
from preparing import prepare, with_programs
from trouble import Trouble

OPENING = DEPLOY / "opening.py"


def main(arguments: list[str]) -> int:
    """The command; returns its exit code."""
    options = parser().parse_args(arguments)
    host = options.host or ("0.0.0.0" if options.lan else "127.0.0.1")
    data = (options.data or default_data(options.demo)).expanduser().absolute()
    try:
        check_port(host, options.port)
        if options.lan:
            check_port(host, options.port + 1)
        check_data(data)
        prepare(tests=False)
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped in the middle of the set-up; the next start goes on from here.", file=sys.stderr)
        return 1
    more = [*(["--demo"] if options.demo else []), *(["--lan"] if options.lan else [])]
    return open_shop(data, host, options.port, [*more, *(["--pair", options.pair] if options.pair else [])])


class OneLineParser(argparse.ArgumentParser):
    """Says what is wrong with the command line in one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message} (see --help)\n")


def parser() -> argparse.ArgumentParser:
    """The command's options, each with its help."""
    options = OneLineParser(
        prog="run.py",
        description="Sets Coiltrail up on the first start and serves it until Ctrl-C.",
        allow_abbrev=False,
    )
    options.add_argument(
        "--demo",
        action="store_true",
        help="serve an invented shop with invented cases, kept apart from a real shop's data",
    )
    options.add_argument(
        "--data",
        metavar="DIR",
        type=Path,
        help=f"where the shop's data lives (default: {default_data(False)}, with --demo {default_data(True)})",
    )
    options.add_argument(
        "--port", metavar="N", type=_port, default=8000, help="port to listen on (default: %(default)s)"
    )
    options.add_argument(
        "--host",
        metavar="H",
        help="address to listen on (default: 127.0.0.1, this machine alone; 0.0.0.0 lets other devices in)",
    )
    options.add_argument(
        "--lan",
        action="store_true",
        help="serve HTTPS to phones on this network, with an authority of the shop's own that they are led to trust "
        "(a page on the next port)",
    )
    options.add_argument("--pair", metavar="NAME", help="print a code that pairs a phone of this person's, good once")
    return options


def check_port(host: str, port: int) -> None:
    """Raises Trouble when the address cannot be listened on; the server itself would share a taken port in silence."""
    not_ours = f"The host {host} is not an address of this machine: use --host 127.0.0.1 or --host 0.0.0.0."
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except (socket.gaierror, UnicodeError):
        raise Trouble(not_ours) from None
    with socket.socket(family, kind, protocol) as trial:
        if not WINDOWS:
            # A port whose last connections still fade out is free; one with a listener is refused all the same.
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(address)
        except PermissionError:
            raise Trouble(
                f"Port {port} may not be opened by this user: choose one above 1023, for example --port 8000."
            ) from None
        except OSError as error:
            if error.errno == errno.EADDRNOTAVAIL:
                raise Trouble(not_ours) from None
            other = port + 1 if port < 65535 else 8000
            raise Trouble(
                f"Port {port} on {host} cannot be opened ({error.strerror}): stop what uses it, or choose another with "
                f"--port {other}."
            ) from None


def check_data(data: Path) -> None:
    """Makes the data directory, for its owner alone, and raises Trouble when nothing can be written there."""
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        trial = data / ".writable"
        trial.touch()
        trial.unlink()
    except (FileExistsError, NotADirectoryError):
        raise Trouble(f"The data directory {data} is a file: name a directory with --data.") from None
    except OSError as error:
        raise Trouble(
            f"The data directory {data} cannot be written ({error.strerror}): name another with --data, or make "
            "it writable."
        ) from None


def open_shop(data: Path, host: str, port: int, options: list[str]) -> int:
    """Starts ``opening.py`` with the private Python and waits until it is stopped; returns its exit code, 0 for a stop.

    It runs in a session of its own, so that what the terminal sends (Ctrl-C, a closed window) comes here alone and is
    passed on as one request to stop: a worker of granian 2.8 that gets Ctrl-C and its parent's stop together hangs.
    """
    command = [PYTHON, OPENING, data, host, str(port), *options]
    sys.stdout.flush()
    child = subprocess.Popen(command, env=with_programs(), start_new_session=not WINDOWS)
    if WINDOWS:
        # The console has told the child as well.
        signal.signal(signal.SIGINT, lambda *_: None)
    else:
        for stop in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(stop, lambda *_: child.terminate())
    code = child.wait()
    # Stopped before the server had taken over the signals.
    return 0 if code == -signal.SIGTERM else code


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is not a port: give a number from 1 to 65535")
    return int(text)
