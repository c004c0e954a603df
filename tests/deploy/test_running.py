"""The run command as a person uses it: started, opened, stopped, started again."""

import contextlib
import json
import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request

import places
import pytest

from .ports import free_port

PATIENCE = 120  # seconds until a start counts as hung, also on a busy machine


class Running:
    """The run command as a child process, with what it printed up to the line that says how to sign in."""

    def __init__(self, folder, *options):
        self.port = free_port()
        self.address = f"http://localhost:{self.port}"
        plain = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "PUBLIC_URL")}
        self.process = subprocess.Popen(
            [sys.executable, places.DEPLOY / "run.py", "--port", str(self.port), *options],
            cwd=folder,
            env=plain,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        self.lines = []
        for line in self.process.stdout:
            self.lines.append(line.rstrip("\n"))
            if re.search("owner|[Ss]ign in", line):
                break

    def get(self, path):
        """Status, type and body, as soon as the server answers."""
        for _ in range(PATIENCE * 10):
            with contextlib.suppress(urllib.error.URLError), urllib.request.urlopen(self.address + path) as answer:
                return answer.status, answer.headers["Content-Type"], answer.read()
            assert self.process.poll() is None, self.process.stderr.read()
            time.sleep(0.1)
        raise AssertionError(f"{self.address} does not answer")

    def post(self, path, body):
        headers = {"Content-Type": "application/json", "X-Coiltrail": "1", "Origin": self.address}
        asked = urllib.request.Request(self.address + path, json.dumps(body).encode(), headers)
        with urllib.request.urlopen(asked) as answer:
            return answer.status

    def stop(self, sent):
        """Signals all of the process group, as a terminal does; returns exit code and what was said as an error."""
        os.killpg(self.process.pid, sent)
        _, said = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, said

    def __enter__(self):
        return self

    def __exit__(self, *_):
        if self.process.poll() is None:
            self.process.terminate()
        self.process.communicate()


def test_a_shop_is_opened_served_stopped_and_opened_again(tmp_path):
    data = tmp_path / "my shop"
    with Running(tmp_path, "--data", "my shop") as first:
        assert f"Coiltrail is served at {first.address} (Ctrl-C stops it)." in first.lines
        assert f"Its data is in {data}." in first.lines
        link = re.search(re.escape(first.address) + r"/#owner=(\S+)", first.lines[-1])
        assert link, first.lines

        status, kind, page = first.get("/")
        assert (status, kind.partition(";")[0]) == (200, "text/html")
        assert b"<html" in page
        assert json.loads(first.get("/api/state")[2])["needs_owner"] is True

        owner = {"name": "Sam Invented", "password": "long enough a word", "shop": "Invented Shop", "phone": "555-0100"}
        device = {"device": "01900000-0000-7000-8000-000000000009", "device_name": "desk"}
        assert first.post("/api/owner", {"token": link[1], **owner, **device}) in (200, 201)
        # Ctrl-C
        assert first.stop(signal.SIGINT) == (0, "")
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(first.address)

    with Running(tmp_path, "--data", "my shop") as second:
        assert second.lines[-1] == "Sign in with your name and password."
        assert not any(line.startswith("Setting up") for line in second.lines)
        state = json.loads(second.get("/api/state")[2])
        assert (state["needs_owner"], state["shop_name"]) == (False, "Invented Shop")
        # the terminal's window is closed
        assert second.stop(signal.SIGHUP) == (0, "")
