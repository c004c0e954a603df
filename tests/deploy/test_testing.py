"""The test command's own arithmetic and the browser it looks for."""

import os
import subprocess
import sys

import engines
import places
import pytest
import testing
from testing import Counts
from trouble import Trouble

from tests.conftest import LONGEST, TESTS


@pytest.mark.parametrize(
    ("codes", "tests", "total"),
    [
        ((0, 0, 0), Counts(10, 0, 0), Counts(12, 0, 0)),
        ((1, 0, 0), Counts(10, 0, 2), Counts(11, 1, 2)),
        ((0, 0, 1), Counts(8, 2, 0), Counts(10, 2, 0)),
        # Nothing collected is exit code 5, and no success.
        ((0, 0, 5), Counts(0, 0, 0), Counts(2, 1, 0)),
    ],
)
def test_no_failure_is_lost_in_the_sum(codes, tests, total):
    ended = dict(zip(("ruff check", "types of the page", "pytest"), codes, strict=True))
    assert testing.summed_up(ended, tests) == total


def test_the_closing_line_names_skips_only_where_there_are_some():
    assert testing.closing_line(Counts(12, 0, 0)) == "12 passed, 0 failed"
    assert testing.closing_line(Counts(11, 1, 2)) == "11 passed, 1 failed, 2 skipped"


def test_the_files_that_begin_early_are_there():
    assert [name for name in LONGEST if not (TESTS / name).is_file()] == []


def test_the_counts_are_those_of_a_real_run(tmp_path):
    (tmp_path / "test_some.py").write_text(
        "import pytest\n"
        "@pytest.fixture\ndef broken(): raise ValueError\n"
        "def test_passes(): pass\n"
        "def test_fails(): assert 0\n"
        "def test_cannot_be_set_up(broken): pass\n"
        "@pytest.mark.skip\ndef test_is_skipped(): pass\n"
    )
    report = tmp_path / "report.xml"
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", f"--junit-xml={report}", tmp_path]
    assert subprocess.run(command, capture_output=True, cwd=tmp_path).returncode == 1
    assert testing.counted(report) == Counts(passed=1, failed=2, skipped=1)
    assert testing.counted(tmp_path / "no such report") == Counts(0, 0, 0)


def test_the_browser_that_is_named_is_taken(monkeypatch):
    monkeypatch.setenv("CHROMIUM", sys.executable)
    assert testing.find_chromium() == sys.executable


def test_a_named_browser_that_is_not_there(monkeypatch, tmp_path):
    monkeypatch.setenv("CHROMIUM", str(tmp_path / "chromium"))
    with pytest.raises(Trouble, match=r"^CHROMIUM names .*: correct it or unset it\.$"):
        testing.find_chromium()


def test_no_browser_and_no_right_to_install_one(monkeypatch, tmp_path):
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(testing, "BROWSERS", ("chromium",))
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(Trouble) as trouble:
        testing.find_chromium()
    assert "apt install chromium" in str(trouble.value) and "--quick" in str(trouble.value)
    assert "\n" not in str(trouble.value)


def test_an_engine_that_is_missing_is_named_with_its_package(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(engines, "SYSTEM_PYTHON", str(tmp_path / "python3"))
    monkeypatch.setattr(sys, "platform", "linux")
    with pytest.raises(Trouble) as trouble:
        engines.find_engines()
    assert "apt install webkit2gtk-driver python3-gi gir1.2-webkit2-4.1 xvfb firefox-esr'" in str(trouble.value)
    assert "--quick" in str(trouble.value) and "\n" not in str(trouble.value)


def test_engines_are_asked_for_on_linux_only(monkeypatch):
    monkeypatch.setattr(sys, "platform", "darwin")
    assert engines.find_engines() is False


def test_help_documents_the_quick_run():
    command = [sys.executable, places.DEPLOY / "test.py", "--help"]
    helped = subprocess.run(command, capture_output=True, text=True)
    assert helped.returncode == 0
    assert "--quick" in helped.stdout and "pytest" in helped.stdout
