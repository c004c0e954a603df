"""Set-up: what runs when, what resumes, and the one line for each thing that cannot be had."""

import os
import socket
import stat
import subprocess
import sys

import places
import preparing
import pytest
from trouble import Trouble


@pytest.fixture
def project(tmp_path, monkeypatch):
    """A project of lock files only, whose pip and npm note that they were called; returns the notes."""
    for name in ("RUN_LOCK", "TEST_LOCK", "NODE_LOCK", "PWA_LOCK"):
        (tmp_path / name).write_text(name)
        monkeypatch.setattr(preparing, name, tmp_path / name)
    for name in ("VENV", "PWA"):
        (tmp_path / name / "node_modules").mkdir(parents=True)
        monkeypatch.setattr(preparing, name, tmp_path / name)
    for name in ("index.html", "sw.js", "join.mjs", "app/start.js"):
        (preparing.PWA / name).parent.mkdir(exist_ok=True)
        (preparing.PWA / name).write_text(name)
    called = []

    def join(npm: str) -> None:
        (preparing.PWA / "node_modules" / ".joined").mkdir(exist_ok=True)
        called.append((npm, "join"))

    monkeypatch.setattr(preparing, "ensure_python", lambda: None)
    monkeypatch.setattr(preparing, "find_npm", lambda: "npm")
    monkeypatch.setattr(preparing, "_pip", lambda *arguments: called.append(("pip", arguments[-1])))
    monkeypatch.setattr(preparing, "_npm", lambda npm, *arguments: called.append((npm, arguments[0])))
    monkeypatch.setattr(preparing, "_join", join)
    return called


def test_a_second_start_installs_nothing(project):
    preparing.prepare(tests=False)
    assert project == [("pip", preparing.RUN_LOCK), ("pip", places.ROOT), ("npm", "ci"), ("npm", "join")]
    project.clear()
    preparing.prepare(tests=False)
    assert project == []


def test_the_tests_add_only_what_they_need(project):
    preparing.prepare(tests=False)
    project.clear()
    preparing.prepare(tests=True)
    assert project == [("pip", preparing.TEST_LOCK)]


def test_a_changed_lock_is_installed_again(project):
    preparing.prepare(tests=True)
    project.clear()
    preparing.PWA_LOCK.write_text("newer")
    preparing.prepare(tests=True)
    assert project == [("npm", "ci"), ("npm", "join")]


def test_a_changed_module_is_put_together_again_and_nothing_else_done(project):
    preparing.prepare(tests=True)
    project.clear()
    (preparing.PWA / "app" / "start.js").write_text("newer")
    preparing.prepare(tests=True)
    preparing.prepare(tests=True)
    assert project == [("npm", "join")]


def test_a_set_up_that_stopped_in_the_middle_goes_on_there(project, monkeypatch):
    def fails(npm, *arguments):
        raise Trouble("no registry")

    with monkeypatch.context() as without_npm:
        without_npm.setattr(preparing, "_npm", fails)
        with pytest.raises(Trouble):
            preparing.prepare(tests=False)
    project.clear()
    preparing.prepare(tests=False)
    assert project == [("npm", "ci"), ("npm", "join")]


@pytest.fixture
def no_registry(monkeypatch, tmp_path):
    """Programs nowhere on PATH, and a package index at a port where nobody listens."""
    with socket.socket() as closed:
        closed.bind(("127.0.0.1", 0))
        index = f"http://127.0.0.1:{closed.getsockname()[1]}/simple"
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    for name, value in {"PIP_INDEX_URL": index, "PIP_RETRIES": "0", "PIP_CONFIG_FILE": os.devnull}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setenv("PATH", str(tmp_path / "nowhere"))
    monkeypatch.setattr(preparing, "PROGRAMS", tmp_path / "no-programs")
    monkeypatch.setattr(preparing, "SETUP_LOG", tmp_path / "set-up.log")
    # A package that no environment has, so that pip cannot say it is there already.
    lock = tmp_path / "node.lock"
    lock.write_text(f"coiltrail-invented-package==1.0 --hash=sha256:{'0' * 64}\n")
    monkeypatch.setattr(preparing, "NODE_LOCK", lock)
    return index


def test_no_npm_and_no_way_to_install_it(no_registry):
    with pytest.raises(Trouble) as trouble:
        preparing.find_npm()
    line = str(trouble.value)
    assert "npm" in line and "install Node.js" in line and "\n" not in line
    # For the right reason: the real pip tried the index that is not there.
    assert "coiltrail-invented-package" in preparing.SETUP_LOG.read_text()


def test_no_registry_for_python_packages(no_registry):
    with pytest.raises(Trouble) as trouble:
        preparing._pip("install", "--require-hashes", "-r", preparing.NODE_LOCK)
    line = str(trouble.value)
    assert "registry can be reached" in line and str(preparing.SETUP_LOG) in line and "\n" not in line


def test_no_registry_for_the_page(no_registry, tmp_path):
    npm = program(tmp_path / "npm", "echo 'npm error code ECONNREFUSED' >&2; exit 1")
    with pytest.raises(Trouble) as trouble:
        preparing._npm(npm, "ci")
    assert "npm registry can be reached" in str(trouble.value) and "\n" not in str(trouble.value)
    assert "ECONNREFUSED" in preparing.SETUP_LOG.read_text()


@pytest.mark.parametrize(("version", "usable"), [("6.14.4", False), ("7.0.0", True), ("11.19.1", True), ("", False)])
def test_an_npm_that_cannot_read_our_lock_file_counts_as_missing(monkeypatch, tmp_path, version, usable):
    npm = program(tmp_path / "npm", f"echo '{version}'")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(preparing, "PROGRAMS", tmp_path / "none")
    assert preparing._usable_npm() == (npm if usable else None)


def test_a_python_without_venv(monkeypatch, tmp_path):
    """Debian's Python without python3-venv makes half an environment and ends with code 1."""
    python = program(tmp_path / "python", 'mkdir -p "$4/bin"; touch "$4/bin/python"; exit 1')
    use_environment(monkeypatch, tmp_path / "venv")
    monkeypatch.setattr(sys, "executable", python)
    with pytest.raises(Trouble) as trouble:
        preparing.ensure_python()
    assert "apt install python3-venv" in str(trouble.value) and "\n" not in str(trouble.value)
    assert not (tmp_path / "venv").exists()


def test_an_environment_without_pip_is_made_again(monkeypatch, tmp_path):
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", tmp_path / "venv"], check=True)
    use_environment(monkeypatch, tmp_path / "venv")
    (tmp_path / "venv" / "left-over").touch()
    preparing.ensure_python()
    assert preparing.PIP.exists()
    assert not (tmp_path / "venv" / "left-over").exists()
    # And a whole one is kept.
    (tmp_path / "venv" / "kept").touch()
    preparing.ensure_python()
    assert (tmp_path / "venv" / "kept").exists()


def program(path, script):
    """A program of a few shell commands; returns its path as text."""
    path.write_text(f"#!/bin/sh\n{script}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return str(path)


def use_environment(monkeypatch, venv):
    monkeypatch.setattr(preparing, "VENV", venv)
    for name in ("PYTHON", "PIP"):
        monkeypatch.setattr(preparing, name, venv / getattr(places, name).relative_to(places.VENV))
