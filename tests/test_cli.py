"""The command line, as it is called."""

import json
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request

import pytest
from sqlalchemy import text

from coiltrail import cli
from coiltrail.config import PWA
from coiltrail.core import entries
from coiltrail.store import log, search
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.models import Shop

from .phone import Phone, lines, sha256
from .store.shop_at_work import SPOKEN


@pytest.fixture
def run(folder, monkeypatch, capsys):
    """Runs the command on the shop's directory; gives exit code, output, errors."""
    monkeypatch.setenv("COILTRAIL_DATA", str(folder))
    for name in ("DATABASE_URL", "PUBLIC_URL", "TRUSTED_PROXIES"):
        monkeypatch.delenv(name, raising=False)
    yield lambda *arguments: (cli.main([str(a) for a in arguments]), *capsys.readouterr())
    # Each command makes an application of its own; its connections go with it.
    for engine in engines_made:
        engine.dispose()
    engines_made.clear()


engines_made = []


@pytest.fixture(autouse=True)
def remembered_engines(monkeypatch):
    make = cli._app

    def remember():
        app = make()
        with app.app_context():
            engines_made.append(db.engine)
        return app

    monkeypatch.setattr(cli, "_app", remember)


@pytest.fixture
def case(app, shop_id):
    """A case in the shop's log; its entries."""
    phone, case = Phone(None), uuid7()
    made = [phone.case_opened(case), phone.entry(case=case, body={"text": "Zündspule"})]
    with app.app_context(), writing() as session:
        log.take_in(session, log.lock(session, shop_id), None, log.check(made))
    return made


def test_export_writes_the_log_that_was_received(run, case):
    code, out, err = run("export", case[0]["case"])
    assert (code, err) == (0, "")
    assert [json.loads(line) for line in out.splitlines()] == case


def test_export_takes_a_part_of_the_id(run, case):
    assert run("export", case[0]["case"][-6:].upper())[0] == 0


def test_export_of_a_case_that_is_not_there(run):
    assert run("export", "ffffff") == (1, "", "ffffff: no case has such an id.\n")


def test_kinds_writes_the_declaration(run):
    assert run("kinds") == (0, f"{PWA / 'kinds.json'}\n", "")
    assert json.loads((PWA / "kinds.json").read_text()) == json.loads(json.dumps(entries.declaration()))


def test_there_is_no_owner_link_once_there_is_an_owner(run):
    code, out, err = run("owner-link")
    assert (code, out) == (1, "")
    assert "has an owner already" in err


def test_an_empty_directory_is_migrated_and_gets_an_owner_link(run, monkeypatch, tmp_path):
    monkeypatch.setenv("COILTRAIL_DATA", str(tmp_path / "new"))
    monkeypatch.setenv("PUBLIC_URL", "https://shop.example")
    assert run("migrate")[0] == 0
    code, out, _ = run("owner-link")
    assert code == 0
    assert re.fullmatch(r"https://shop\.example/#owner=[\w-]{43}\n", out)


def test_new_epoch_is_for_every_device(run, app, shop_id):
    with app.app_context():
        before = db.session.get(Shop, shop_id).epoch
    assert run("new-epoch")[0] == 0
    with app.app_context():
        assert db.session.get(Shop, shop_id).epoch != before


def test_backup_and_restore_bring_the_shop_back(run, case, tmp_path, monkeypatch):
    assert run("check") == (0, "All is whole: 1 cases, 2 entries, 0 photos.\n", "")
    code, out, err = run("backup", tmp_path / "kept")
    assert (code, err) == (0, "") and str(tmp_path / "kept") in out
    code, _, err = run("restore", tmp_path / "kept")
    assert code == 1 and "--over" in err and err.count("\n") == 1
    monkeypatch.setenv("COILTRAIL_DATA", str(tmp_path / "new"))
    code, out, err = run("restore", tmp_path / "kept")
    assert (code, err) == (0, "") and "offer all its entries again" in out
    assert run("check")[0] == 0
    assert [json.loads(line) for line in run("export", case[0]["case"])[1].splitlines()] == case


def test_a_photo_lost_from_the_disk_is_told_and_asked_for_again(run, folder, phone):
    content = SPOKEN
    entry = phone.entry("recording", {"sha256": sha256(content), "bytes": len(content), "form": "voice"})
    phone.sync(entry)
    phone.upload(content)
    next((folder / "photos").rglob(sha256(content))).unlink()
    code, out, _ = run("check")
    assert code == 1 and "missing from the disk" in out
    assert out.splitlines()[-1] == f"Not whole: 1 of 1 cases are affected: {entry['case']}."
    assert run("backup", folder / "kept")[0] == 1
    assert run("check", "--ask-again")[0] == 1
    assert run("check") == (0, "All is whole: 1 cases, 1 entries, 0 photos; 1 more are still on phones.\n", "")


def test_a_damaged_database_is_told_in_plain_words(run, folder):
    (folder / "coiltrail.sqlite3").write_bytes(b"\xff" * 9000)
    code, out, err = run("check")
    assert (code, err) == (1, "") and "cannot be read" in out
    assert out.splitlines()[-1].startswith("Not whole: which cases are affected cannot be told")
    code, out, err = run("backup", folder / "kept")
    assert (code, out) == (1, "") and "coiltrail check" in err and err.count("\n") == 1


def test_a_setting_that_cannot_be_used_is_one_line(run, monkeypatch):
    monkeypatch.setenv("PUBLIC_URL", "shop")
    code, _, err = run("owner-link")
    assert code == 1
    assert err.startswith("PUBLIC_URL: give scheme and host") and err.count("\n") == 1


def test_load_demo_names_what_is_missing(run, tmp_path):
    code, _, err = run("load-demo", tmp_path)
    assert code == 1 and "shop.json" in err and err.count("\n") == 1


def test_a_clock_that_stands_still_is_one_line(run):
    code, _, err = run("bench", "sync", "--scale", "0")
    assert code == 1 and "--scale" in err and err.count("\n") == 1


COMMANDS = [
    "explain",
    "export",
    "kinds",
    "migrate",
    "owner-link",
    "new-epoch",
    "backup",
    "restore",
    "check",
    "serve",
    "bench",
    "load-demo",
]


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(command, capsys):
    with pytest.raises(SystemExit) as ended:
        cli.main([command, "--help"])
    assert ended.value.code == 0
    assert command in capsys.readouterr().out


def test_explain_names_the_line_of_a_log_that_cannot_be_read(run, tmp_path):
    path = tmp_path / "case.jsonl"
    path.write_text(lines([Phone(None).entry()]) + "{")
    code, out, err = run("explain", path)
    assert (code, out) == (1, "")
    assert "line 2: this is not JSON" in err and err.count("\n") == 1


def test_a_taken_port_is_one_line(run):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        code, _, err = run("serve", "--port", port)
    assert code == 1
    assert err == f"Port {port} is taken: stop what uses it, or choose another with --port.\n"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--host", "no.such.host.invalid"), "no address of this machine"),
        (("--certificate", "x.pem"), "both"),
        (("--certificate", "/nowhere/x.pem", "--key", "/nowhere/y.pem"), "no file"),
    ],
)
def test_serving_that_cannot_be_is_one_line(run, arguments, says):
    code, _, err = run("serve", *arguments)
    assert code == 1 and says in err and err.count("\n") == 1


def test_the_server_answers_over_a_real_connection(run, folder, tmp_path):
    """The command as people start it: the reason of a refusal arrives also while the body is being sent."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    command = [sys.executable, "-m", "coiltrail.cli", "serve", "--port", str(port)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as server:
        try:
            state = answer_of(address + "/api/state", server)
            assert json.loads(state)["shop_name"] == "Driveway Motors"
            assert sending(address, b"x" * 3_000_000) == (413, "too_large")
            assert sending(address, iter([b"x" * 1000] * 3000)) == (411, "length_needed")
            assert sending(address, b"x" * 1_900_000, path="/api/sync") == (401, "signed_out")
            assert sending(address, None, method="DELETE") == (405, "wrong_method")
            assert run("backup", tmp_path / "kept")[0] == 0
            assert run("restore", tmp_path / "kept", "--over")[2] == f"Coiltrail serves {folder}: stop it first.\n"
        finally:
            server.send_signal(signal.SIGTERM)
            output = server.communicate(timeout=30)[0]
    assert "Traceback" not in output


def answer_of(address, server):
    for _ in range(200):
        try:
            with urllib.request.urlopen(address, timeout=10) as response:
                return response.read()
        except OSError:
            assert server.poll() is None, "the server ended"
            time.sleep(0.05)
    raise AssertionError("no answer")


def sending(address, body, method="POST", path="/api/sign-in"):
    """Send ``body`` (in chunks, without a length, when it is an iterator); status and code of the refusal."""
    headers = {"X-Coiltrail": "1", "Content-Type": "application/json"}
    request = urllib.request.Request(address + path, data=body, headers=headers, method=method)
    try:
        urllib.request.urlopen(request, timeout=60)
    except urllib.error.HTTPError as error:
        with error:
            return error.code, json.loads(error.read())["error"]["code"]
    raise AssertionError("it was taken")


def test_a_shop_goes_out_and_comes_in_again(run, case, folder, tmp_path, monkeypatch):
    assert "directory for the whole shop" in run("export")[2]
    assert run("export", "--folder", tmp_path / "out")[:2] == (0, f"{tmp_path / 'out'} holds 8 files.\n")
    assert "name a new directory" in run("export", "--folder", tmp_path / "out")[2]
    assert run("export", case[0]["case"][-8:], "--folder", tmp_path / "case")[0] == 0
    assert (tmp_path / "case" / "report.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert "is here already" in run("import", tmp_path / "out")[2]
    monkeypatch.setenv("COILTRAIL_DATA", str(tmp_path / "new"))
    code, said, _ = run("import", tmp_path / "out")
    assert code == 0 and said.startswith("2 entries and 0 photos are here.") and "password-link" in said
    assert run("export", "--folder", tmp_path / "again")[0] == 0
    for path in (tmp_path / "out").iterdir():
        assert path.read_bytes() == (tmp_path / "again" / path.name).read_bytes()


def test_who_sits_at_the_server_makes_links_for_people(run, stranger):
    code, out, _ = run("password-link", "ada")
    assert code == 0
    told = stranger.post("/api/invitations/look", json={"token": out.strip().partition("/#join=")[2]})
    assert (told.json["name"], told.json["new_password"]) == ("Ada", True)
    code, out, _ = run("pair", "Ada")
    assert code == 0 and "█" in out
    given = {"token": out.strip().partition("/#pair=")[2], "device": uuid7(), "device_name": "Van phone"}
    assert stranger.post("/api/pairings/pair", json=given).json["person"]["name"] == "Ada"
    for command in ("password-link", "pair"):
        assert run(command, "Nobody")[0] == 1


def test_reindex_makes_anew_what_cases_are_found_by(run, case, app):
    with app.app_context(), db.engine.begin() as connection:
        connection.execute(text("DELETE FROM case_summary"))
    assert run("reindex") == (0, "1 cases can be found anew.\n", "")
    with app.app_context():
        (found,) = search.cases(db.session.query(Shop).one().id, search.Sought("zundspule")).cases
        db.session.remove()
    assert found["case"] == case[0]["case"]
