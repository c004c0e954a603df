"""What the run command says before it starts anything."""

import contextlib
import errno
import re
import socket
import subprocess
import sys
from pathlib import Path

import places
import pytest
import serving
from trouble import Trouble

from .ports import free_port


def run(*arguments):
    command = [sys.executable, places.DEPLOY / "run.py", *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)


@contextlib.contextmanager
def taken_port():
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        yield listener.getsockname()[1]


def test_a_taken_port(tmp_path):
    with taken_port() as port:
        ended = run("--port", str(port), "--data", tmp_path)
    assert ended.returncode == 1
    (line,) = ended.stderr.splitlines()
    assert f"Port {port}" in line and "choose another with" in line
    assert ended.stdout == ""


def test_a_free_port_is_not_complained_about():
    serving.check_port("127.0.0.1", free_port())


# The second is kept for documentation (RFC 5737): no machine has it.
@pytest.mark.parametrize("host", ["no such host", "192.0.2.7"])
def test_a_host_that_is_no_address_of_this_machine(host):
    with pytest.raises(Trouble, match=rf"^The host {host} is not an address of this machine: use --host .*$"):
        serving.check_port(host, free_port())


def test_a_data_directory_that_is_a_file(tmp_path):
    file = tmp_path / "shop"
    file.write_text("a letter")
    ended = run("--port", str(free_port()), "--data", file)
    assert ended.returncode == 1
    (line,) = ended.stderr.splitlines()
    assert f"{file} is a file" in line and "--data" in line
    assert file.read_text() == "a letter"


def test_a_data_directory_below_a_file(tmp_path):
    (tmp_path / "letter").touch()
    with pytest.raises(Trouble, match="is a file"):
        serving.check_data(tmp_path / "letter" / "shop")


def test_a_data_directory_that_cannot_be_written(tmp_path, monkeypatch):
    # Root may write anywhere, so the refusal is played.
    def refuses(self, *arguments, **options):
        raise PermissionError(errno.EACCES, "Permission denied", str(self))

    monkeypatch.setattr(Path, "touch", refuses)
    with pytest.raises(Trouble) as trouble:
        serving.check_data(tmp_path)
    assert re.fullmatch(
        r"The data directory .* cannot be written \(Permission denied\): .*--data.*", str(trouble.value)
    )


def test_a_new_data_directory_is_its_owner_s_alone(tmp_path):
    serving.check_data(tmp_path / "a" / "b c")
    assert (tmp_path / "a" / "b c").stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("text", ["0", "65536", "-1", "http", "8000.5", "²"])
def test_a_port_that_is_none(text):
    ended = run(f"--port={text}")
    assert ended.returncode == 2
    (line,) = ended.stderr.splitlines()
    assert text in line and "1 to 65535" in line


def test_help_documents_every_option():
    helped = run("--help")
    assert helped.returncode == 0
    options = [action for action in serving.parser()._actions if action.option_strings]
    assert {name for option in options for name in option.option_strings} >= {"--demo", "--data", "--port", "--host"}
    for option in options:
        assert option.help
        assert option.option_strings[-1] in helped.stdout


def test_a_demo_never_shares_a_directory_with_a_shop():
    demo, shop = places.default_data(demo=True), places.default_data(demo=False)
    assert demo != shop
    assert demo not in shop.parents and shop not in demo.parents
    assert places.ROOT not in shop.parents
