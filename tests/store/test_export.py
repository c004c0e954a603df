"""An export is whole, says so of every file, and makes the same shop again."""

import csv
import io
import json
import shutil
import zipfile

import pytest

from coiltrail.app import create_app
from coiltrail.store import bring_in, chain, export, inspection, migrations, people
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Entry, Person, Shop
from coiltrail.trouble import Trouble
from tests.conftest import config_in, new_phone
from tests.phone import jpeg, sha256

CUSTOMER = {"name": "=Ada Invented", "phone": "555-0142"}


@pytest.fixture
def worked(app, phone, shop_id):
    """A shop with two cases, a photo, something set aside, something erased, prices of its own."""
    case, other = uuid7(), uuid7()
    picture = jpeg(colour=(1, 2, 3))
    look = phone.entry("check", {"check": "connector_look", "place": "coil.3", "finding": "oily"}, case=case)
    closing = {"cause": "Coil 3", "probabilities": {"explanations": [], "fixed": None}}
    phone.sync(
        phone.case_opened(case, customer=CUSTOMER),
        look,
        phone.entry("photo", {"sha256": sha256(picture), "bytes": len(picture), "of": look["id"]}, case=case),
        phone.entry("note", {"text": ""}, case=case),
        phone.entry("repair", {"work": "replaced", "place": "coil.3", "brand": "Harrow"}, case=case),
        phone.entry("case_closed", closing, case=case),
        phone.entry("prices_set", {"currency": "EUR", "labour_rate": 7200}, case=shop_id),
        {"no": "entry"},
    )
    assert phone.upload(picture).status_code == 204
    opened = phone.case_opened(other, customer={"name": "Ben Invented"})
    phone.sync(opened, phone.entry("erased", {"entries": [opened["id"]]}, case=other))
    phone.case, phone.picture = case, picture
    return phone


def files_of(app) -> dict[str, bytes]:
    with app.app_context():
        shop_id = db.session.query(Shop.id).scalar()
        return {name: export._bytes(content) for name, content in export.of_shop(shop_id)}


@pytest.fixture
def folder_out(app, worked, tmp_path, shop_id):
    with app.app_context():
        export.write_folder(export.of_shop(shop_id), tmp_path / "out")
    return tmp_path / "out"


@pytest.fixture
def another(tmp_path):
    """An empty migrated place with no shop in it."""
    app = create_app(config_in(tmp_path / "another"))
    migrations.apply(app)
    yield app
    with app.app_context():
        db.session.remove()
        db.engine.dispose()


def brought(app, path):
    with app.app_context():
        return bring_in.bring_in(path)


def test_every_file_is_what_the_manifest_says(app, worked):
    files = files_of(app)
    manifest = json.loads(files.pop(export.MANIFEST))
    assert manifest["form"] == export.FORM and manifest["lacking"] == []
    assert {name: sha256(content) for name, content in files.items()} == manifest["files"]
    assert files[f"photos/{sha256(worked.picture)}.jpg"] == worked.picture
    told = b"".join(content for name, content in files.items() if not name.startswith("photos/"))
    assert b"password" not in told and b"argon2" not in told and b"Ben Invented" not in told


def test_the_tables_can_be_read_by_themselves(app, worked):
    files = files_of(app)
    tables = {
        name: list(csv.DictReader(io.StringIO(files[name].decode("utf-8-sig"))))
        for name in ("cases.csv", "parts.csv", "entries.csv")
    }
    [case] = [row for row in tables["cases.csv"] if row["case"] == worked.case]
    assert (case["status"], case["cause"], case["entries"]) == ("closed", "Coil 3", "5")
    assert case["customer"] == "'=Ada Invented"  # no formula
    assert any(row["brand"] == "Harrow" for row in tables["parts.csv"])
    entries = [json.loads(line) for line in files["log.jsonl"].splitlines()]
    assert [row["id"] for row in tables["entries.csv"]] == [
        entry["id"] for entry in sorted(entries, key=lambda entry: entry["case"])
    ]


def test_an_empty_place_becomes_the_same_shop(app, worked, folder_out, another):
    done = brought(another, folder_out)
    assert (done.entries, done.photos, done.people, done.lacking) == (8, 1, ["Ada"], [])
    assert files_of(another) == files_of(app)
    with another.app_context():
        assert inspection.inspect_shop().summary().startswith("All is whole")
        before = ""
        for row in db.session.scalars(db.select(Entry).order_by(Entry.number)):
            assert row.chain == chain.link(before, row.content)
            before = row.chain


def test_an_archive_does_as_well_and_what_was_erased_stays_so(app, worked, tmp_path, another):
    archive = tmp_path / "out.zip"
    answer = worked.client.get("/api/cases/export.zip")
    assert answer.status_code == 200 and answer.mimetype == "application/zip"
    archive.write_bytes(answer.data)
    assert zipfile.ZipFile(archive).testzip() is None
    brought(another, archive)
    assert files_of(another) == files_of(app)
    phone = new_phone(another)
    opened = [e for e in phone.fetch_all() if e["kind"] == "case_opened"][1]
    old = {**opened, "body": opened["body"] | {"customer": {"name": "Ben Invented"}}}
    assert phone.sync(old)["accepted"] == [opened["id"]]
    assert b"Ben Invented" not in files_of(another)["log.jsonl"]


def test_nobody_signs_in_with_an_empty_password(worked, folder_out, another):
    brought(another, folder_out)
    with another.app_context():
        assert db.session.query(Person).one().role == "owner"
    given = {"name": "Ada", "password": "", "device": uuid7(), "device_name": "x"}
    client = another.test_client()
    assert client.post("/api/sign-in", json=given, headers={"X-Coiltrail": "1"}).status_code in (401, 422)
    client.post("/api/sign-in", json=given | {"password": "some password"}, headers={"X-Coiltrail": "1"})
    assert client.get("/api/me").status_code == 401


class TestRefusals:
    def refused(self, another, path) -> str:
        with another.app_context():
            with pytest.raises(Trouble) as trouble:
                bring_in.bring_in(path)
            assert db.session.query(Shop).all() == []
            assert inspection.settings().data.joinpath("photos").exists() is False or not [
                path for path in inspection.settings().data.joinpath("photos").rglob("*") if path.is_file()
            ]
        return str(trouble.value)

    def test_a_missing_photo_is_named(self, another, folder_out):
        [photo] = (folder_out / "photos").iterdir()
        photo.unlink()
        assert f"photos/{photo.name} is missing" in self.refused(another, folder_out)

    def test_a_changed_log_is_named(self, another, folder_out):
        log = folder_out / "log.jsonl"
        log.write_text(log.read_text().replace('"oily"', '"good"'))
        assert "log.jsonl" in (told := self.refused(another, folder_out)) and "was changed" in told

    def test_a_changed_log_whose_manifest_was_changed_with_it_is_looked_at_line_by_line(self, another, folder_out):
        log, manifest = folder_out / "log.jsonl", folder_out / "manifest.json"
        log.write_text(log.read_text() + '{"id": 5}\n')
        told = json.loads(manifest.read_text())
        told["files"]["log.jsonl"] = sha256(log.read_bytes())
        manifest.write_text(json.dumps(told))
        assert "line 9: this is no entry" in self.refused(another, folder_out)

    @pytest.mark.parametrize("name", ["../outside", "/etc/passwd", "photos/../log.jsonl", "log.jsonl.bak"])
    def test_a_name_that_no_export_has_is_not_followed(self, another, folder_out, name):
        manifest = folder_out / "manifest.json"
        told = json.loads(manifest.read_text())
        told["files"][name] = "0" * 64
        manifest.write_text(json.dumps(told))
        assert "manifest.json" in self.refused(another, folder_out)

    def test_what_is_no_export(self, another, folder_out, tmp_path):
        shutil.rmtree(folder_out / "photos")
        (folder_out / "manifest.json").unlink()
        assert "manifest.json is missing" in self.refused(another, folder_out)
        (tmp_path / "some.zip").write_bytes(b"PK nothing")
        assert "no ZIP archive" in self.refused(another, tmp_path / "some.zip")

    def test_one_case_is_no_shop(self, app, worked, another, tmp_path, shop_id):
        with app.app_context():
            export.write_folder(export.of_case(shop_id, worked.case), tmp_path / "case")
        assert "of one case" in self.refused(another, tmp_path / "case")

    def test_a_shop_that_is_there_stays(self, app, folder_out):
        with app.app_context(), pytest.raises(Trouble, match="is here already"):
            bring_in.bring_in(folder_out)


class TestOneCase:
    def test_log_photos_and_report(self, app, worked, tmp_path):
        answer = worked.client.get(f"/api/cases/{worked.case}/export.zip")
        archive = zipfile.ZipFile(io.BytesIO(answer.data))
        assert set(archive.namelist()) == {
            "log.jsonl",
            "report.html",
            f"photos/{sha256(worked.picture)}.jpg",
            "manifest.json",
        }
        page = archive.read("report.html").decode()
        assert f'src="photos/{sha256(worked.picture)}.jpg"' in page and "Coil 3" in page
        assert "http://" not in page and "https://" not in page

    def test_a_case_nobody_knows(self, worked):
        assert worked.client.get(f"/api/cases/{uuid7()}/export.zip").status_code == 404


def test_only_the_owner_takes_the_whole_shop(app, worked, shop_id):
    with app.app_context():
        people.add_person(shop_id, "Mo", "mechanic", "coil boot plug lead")
    refused = new_phone(app, "Mo").client.get("/api/cases/export.zip")
    assert refused.status_code == 403 and "owner" in refused.json["error"]["message"]
