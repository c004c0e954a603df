import ast
import subprocess
import sys

import places
import pytest
import python_version

COMMANDS = ["run.py", "test.py", "lock.py"]


@pytest.mark.parametrize("version", [(2, 7, 18), (3, 6, 15, "final", 0), (3, 10, 13)])
def test_an_old_python_is_named_with_the_one_that_is_needed(version):
    line = python_version.complaint(version)
    assert ".".join(map(str, version[:3])) in line
    assert "3.11" in line
    assert "\n" not in line


@pytest.mark.parametrize("version", [(3, 11), (3, 11, 0, "final", 0), (3, 14, 2), (4, 0, 0)])
def test_a_python_that_will_do_is_not_complained_about(version):
    assert python_version.complaint(version) is None


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_says_so_before_it_reads_anything_an_old_python_cannot(command):
    path = str(places.DEPLOY / command)
    program = (
        "import runpy, sys; sys.version_info = (3, 6, 15, 'final', 0); "
        f"sys.argv = ['x']; sys.path.insert(0, {str(places.DEPLOY)!r}); runpy.run_path({path!r}, run_name='__main__')"
    )
    ended = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert ended.returncode == 1
    assert ended.stderr.splitlines() == [python_version.complaint((3, 6, 15))]
    assert ended.stdout == ""


@pytest.mark.parametrize("file", [*COMMANDS, "python_version.py"])
def test_the_files_an_old_python_reads_keep_to_its_grammar(file):
    # 3.7 is the oldest grammar that ast still knows; f-strings are kept out too, for 2.7.
    tree = ast.parse((places.DEPLOY / file).read_text(encoding="utf-8"), feature_version=(3, 7))
    assert not any(isinstance(node, ast.JoinedStr | ast.AnnAssign) for node in ast.walk(tree))
