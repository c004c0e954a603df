"""The lock files cover what the project asks for, and say nothing of where it came from."""

import json
import re
import tomllib

import places
import preparing
import pytest

PYTHON_LOCKS = [preparing.RUN_LOCK, preparing.TEST_LOCK, preparing.NODE_LOCK]
PROJECT = tomllib.loads((places.ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def plain_name(requirement):
    """The name of a requirement as registries compare it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", re.match(r"[\w.-]+", requirement)[0]).lower()


def locked(lock):
    """Name to the entries of the lock: versions with their markers, since a package may differ between Pythons."""
    found = {}
    for line in lock.read_text(encoding="utf-8").splitlines():
        if name := re.match(r"[^#=\s]+(?===)", line):
            found.setdefault(name[0], set()).add(line)
    return found


def test_every_package_the_project_needs_is_locked():
    wanted = PROJECT["project"]["dependencies"] + PROJECT["build-system"]["requires"]
    assert {plain_name(name) for name in wanted} <= set(locked(preparing.RUN_LOCK))


def test_every_package_the_tests_need_is_locked():
    wanted = PROJECT["project"]["optional-dependencies"]["test"]
    assert {plain_name(name) for name in wanted} <= set(locked(preparing.TEST_LOCK))


def test_the_tests_run_with_the_versions_that_are_served():
    tests = locked(preparing.TEST_LOCK)
    assert {name: tests[name] for name in locked(preparing.RUN_LOCK)} == locked(preparing.RUN_LOCK)


@pytest.mark.parametrize("lock", PYTHON_LOCKS, ids=lambda lock: lock.name)
def test_every_locked_package_has_hashes(lock):
    for entry in re.split(r"\n(?=\w)", lock.read_text(encoding="utf-8"))[1:]:
        assert "--hash=sha256:" in entry, entry


@pytest.mark.parametrize("lock", [*PYTHON_LOCKS, preparing.PWA_LOCK], ids=lambda lock: lock.name)
def test_no_lock_names_a_registry(lock):
    text = lock.read_text(encoding="utf-8")
    assert "--index" not in text and "--find-links" not in text and '"resolved"' not in text
    # The npm lock repeats where authors ask for money; nothing else in it may be an address.
    addresses = re.findall(r'"(\w+)": "https?://', text) if lock == preparing.PWA_LOCK else re.findall("://", text)
    assert set(addresses) <= {"url"}


def test_the_page_s_modules_are_locked_as_the_page_asks():
    asked = json.loads((places.PWA / "package.json").read_text(encoding="utf-8"))
    lock = json.loads(preparing.PWA_LOCK.read_text(encoding="utf-8"))["packages"]
    for kind in ("dependencies", "devDependencies"):
        assert lock[""].get(kind) == asked.get(kind)
    assert all("integrity" in package for path, package in lock.items() if path)
