"""A backup is whole, consistent, and never half there."""

import json
import threading

import pytest

from coiltrail.store import backup, log
from coiltrail.store.database import writing
from coiltrail.trouble import Trouble
from tests.phone import Phone, sha256

from .shop_at_work import do_work


@pytest.fixture
def make(app, tmp_path):
    def make(name="backup"):
        with app.app_context():
            return backup.make(tmp_path / name)

    return make


def test_everything_is_in_it_and_fits_its_hash(make, phone, tmp_path):
    work = do_work(phone)
    made = make()
    assert made == backup.read_manifest(tmp_path / "backup")
    assert made.rows["entry"] == len(work.entries) and made.rows["set_aside"] == 1 and made.rows["person"] == 1
    assert {path.rsplit("/", 1)[1] for path in made.photos} == {sha256(photo) for photo in work.photos}
    assert backup.damaged_files(made) == [] and made.lacking == []
    there = {path.relative_to(made.folder).as_posix() for path in made.folder.rglob("*") if path.is_file()}
    assert there == set(made.files) | {"manifest.json"}


def test_only_its_owner_may_read_it(make):
    assert make().folder.stat().st_mode & 0o077 == 0  # it holds password hashes and customers


def test_an_existing_directory_is_left_alone(make, tmp_path):
    (tmp_path / "backup").mkdir()
    (tmp_path / "backup" / "mine").write_text("keep")
    with pytest.raises(Trouble, match="name a new directory"):
        make()
    assert (tmp_path / "backup" / "mine").read_text() == "keep"


def test_what_fails_in_the_middle_leaves_nothing(make, phone, tmp_path, monkeypatch):
    do_work(phone)
    before = sorted(tmp_path.iterdir())

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "copy_file", full)
    with pytest.raises(Trouble, match="No space left"):
        make()
    assert sorted(tmp_path.iterdir()) == before


def test_a_photo_that_the_disk_has_lost_is_named_and_the_rest_is_kept(make, phone, folder):
    work = do_work(phone)
    name, other = sha256(work.photos[0]), sha256(work.photos[1])
    (folder / "photos" / name[:2] / name).unlink()
    (folder / "photos" / other[:2] / other).write_bytes(b"x")
    made = make()
    assert made.lacking == sorted([name, other])
    assert len(made.photos) == 2 and backup.damaged_files(made) == []


def test_it_shows_one_moment_while_others_write(app, shop_id, make):
    """Every backup taken meanwhile has a log without a gap that ends where its shop's count says."""
    ended = threading.Event()
    phone = Phone(None)

    def write():
        while not ended.is_set():
            with app.app_context():
                checked = log.check([phone.entry() for _ in range(7)])
                with writing() as session:
                    log.take_in(session, log.lock(session, shop_id), None, checked)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        made = [make(f"backup{at}") for at in range(6)]
    finally:
        ended.set()
        writer.join()
    counts = []
    for one in made:
        (shop,) = read(one, "shop")
        numbers = [entry["number"] for entry in read(one, "entry")]
        assert numbers == list(range(1, shop["next_number"]))
        assert len(numbers) % 7 == 0
        counts.append(len(numbers))
    assert counts == sorted(counts) and counts[-1] > counts[0]


def read(made, table):
    return [json.loads(line) for line in (made.folder / "rows" / f"{table}.jsonl").read_text().splitlines()]


@pytest.mark.parametrize(
    ("spoilt", "says"),
    [
        ("", "damaged"),
        ("[]", "damaged"),
        ('{"form": 1}', "damaged"),
        ({"form": 2}, "newer release"),
        ({"files": {"../../x": "0" * 64}}, "damaged"),
        ({"files": {}}, "damaged"),
        ({"files": []}, "damaged"),
        ({"rows": {"../x": 1}}, "damaged"),
        (None, "no whole backup"),
    ],
)
def test_a_manifest_that_cannot_be_trusted(make, spoilt, says):
    manifest = make().folder / "manifest.json"
    if spoilt is None:
        manifest.unlink()
    elif isinstance(spoilt, dict):
        manifest.write_text(json.dumps(json.loads(manifest.read_text()) | spoilt))
    else:
        manifest.write_text(spoilt)
    with pytest.raises(Trouble, match=says):
        backup.read_manifest(manifest.parent)
