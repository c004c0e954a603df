"""A file arrives in pieces, and counts only when it is whole, is its hash, and is fit to keep."""

import threading

import pytest

from coiltrail.store import media, photos
from coiltrail.store.database import db, writing
from coiltrail.store.models import PhotoFile
from tests.phone import jpeg, sha256

PICTURE = jpeg(300, 200)
NAME = sha256(PICTURE)
SIZE = len(PICTURE)


@pytest.fixture
def add(app, shop_id):
    def add(offset, piece, size=SIZE, name=NAME):
        with app.app_context():
            return photos.add_piece(shop_id, name, offset, size, piece)

    return add


@pytest.fixture
def progress(app, shop_id):
    def progress(name=NAME):
        with app.app_context():
            return photos.progress(shop_id, name)

    return progress


@pytest.fixture
def kept(app, shop_id):
    """The bytes that are served, or None."""

    def kept(name=NAME):
        with app.app_context():
            found = photos.complete_file(shop_id, name)
            return found[0].read_bytes() if found else None

    return kept


def files_in(folder, name):
    return sorted(path.name for path in (folder / name).rglob("*") if path.is_file())


def test_pieces_make_the_whole(add, progress, kept, folder):
    assert progress() == photos.Progress(0, None, complete=False)
    assert add(0, PICTURE[:100]) == photos.Progress(100, SIZE, complete=False)
    assert progress() == photos.Progress(100, SIZE, complete=False)
    assert kept() is None
    assert add(100, PICTURE[100:]) == photos.Progress(SIZE, SIZE, complete=True)
    assert kept() == PICTURE
    assert files_in(folder, "photos") == [NAME] and files_in(folder, "uploads") == []


def test_what_is_known_of_the_picture_is_kept(app, add, shop_id):
    add(0, PICTURE)
    with app.app_context():
        row = db.session.get(PhotoFile, (shop_id, NAME))
        assert (row.media_type, row.width, row.height, row.size) == ("image/jpeg", 300, 200, SIZE)


@pytest.mark.parametrize("offset", [0, 50, 101, SIZE])
def test_another_offset_is_told_the_right_one(add, kept, offset):
    add(0, PICTURE[:100])
    with pytest.raises(photos.Disagrees) as disagrees:
        add(offset, PICTURE[offset : offset + 10])
    assert disagrees.value.progress == photos.Progress(100, SIZE, complete=False)
    add(100, PICTURE[100:])
    assert kept() == PICTURE


def test_another_length_is_told_the_right_one(add):
    add(0, PICTURE[:100])
    with pytest.raises(photos.Disagrees) as disagrees:
        add(100, PICTURE[100:200], size=SIZE + 1)
    assert disagrees.value.progress.size == SIZE


def test_sending_more_of_a_whole_file_is_answered_with_whole(add, kept):
    add(0, PICTURE)
    assert add(0, b"other").complete
    assert kept() == PICTURE


def test_wrong_bytes_are_discarded_and_the_upload_may_start_anew(add, progress, kept, folder):
    wrong = b"x" + PICTURE[1:]
    add(0, wrong[:100])
    with pytest.raises(photos.WrongHash):
        add(100, wrong[100:])
    assert progress().received == 0
    assert files_in(folder, "photos") == [] == files_in(folder, "uploads")
    assert add(0, PICTURE).complete
    assert kept() == PICTURE


def test_an_unfit_file_is_remembered_and_not_wanted_again(app, add, progress, kept, folder, shop_id):
    content = b"This is no picture."
    name = sha256(content)
    for _ in range(2):
        with pytest.raises(media.Unfit):
            add(0, content, len(content), name)
    with pytest.raises(media.Unfit):
        progress(name)
    assert kept(name) is None
    assert files_in(folder, "photos") == [] == files_in(folder, "uploads")
    with app.app_context():
        assert photos.wanted(shop_id, 10) == []


def test_a_stop_between_disk_and_database_loses_nothing(app, add, progress, kept, folder, shop_id):
    add(0, PICTURE[:100])
    partial = folder / "uploads" / f"{shop_id}-{NAME}"
    partial.write_bytes(PICTURE[:150])  # the piece was written, its row was not
    assert progress().received == 100
    add(100, PICTURE[100:130])
    assert partial.read_bytes() == PICTURE[:130]
    partial.unlink()  # the whole was taken out, its row was not written
    assert progress().received == 0
    assert add(0, PICTURE).complete
    assert kept() == PICTURE


def test_a_file_lost_from_the_disk_is_wanted_again(app, add, kept, folder, shop_id):
    add(0, PICTURE)
    (folder / "photos" / NAME[:2] / NAME).unlink()
    assert kept() is None
    with app.app_context():
        assert photos.wanted(shop_id, 10) == [NAME]
    assert add(0, PICTURE).complete
    assert kept() == PICTURE


def test_wanted_are_named_up_to_a_limit_and_every_one_in_its_turn(app, shop_id):
    """However many there are that no phone has any more, they hide none that one has."""
    names = {f"{k:064x}" for k in range(20)}
    with app.app_context():
        with writing() as session:
            for k, name in enumerate(sorted(names)):
                session.add(PhotoFile(shop_id=shop_id, sha256=name, first_named_ms=k))
            for name, state in (("aa" * 32, {"complete": True}), ("bb" * 32, {"unfit": "no picture"})):
                session.add(PhotoFile(shop_id=shop_id, sha256=name, **state))
        named = [photos.wanted(shop_id, 3) for _ in range(300)]
    assert {len(set(some)) for some in named} == {3}
    # By chance one of 20 is missed in 300 draws of 3 about once in 10^20 times.
    assert set().union(*named) == names


def test_many_uploads_of_one_photo_at_once_make_one_whole_file(app, kept, shop_id):
    """Each goes on wherever the server says it is, as phones do; whatever the interleaving, the file is right."""
    failures = []

    def send():
        try:
            with app.app_context():
                at = photos.progress(shop_id, NAME)
                while not at.complete:
                    try:
                        piece = PICTURE[at.received : at.received + 97]
                        at = photos.add_piece(shop_id, NAME, at.received, SIZE, piece)
                    except photos.Disagrees as disagrees:
                        at = disagrees.progress
        except Exception as failure:
            failures.append(failure)

    threads = [threading.Thread(target=send) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert kept() == PICTURE


def test_a_thumbnail_is_made_once_and_again_when_it_is_lost(app, add, folder, shop_id):
    add(0, PICTURE)
    with app.app_context():
        path, _ = photos.complete_file(shop_id, NAME)
        thumb = photos.thumbnail(path, NAME)
        stamp = thumb.stat().st_mtime_ns
        assert photos.thumbnail(path, NAME).stat().st_mtime_ns == stamp
        thumb.unlink()
        assert photos.thumbnail(path, NAME).read_bytes().startswith(b"\xff\xd8")
    assert files_in(folder, "thumbs") == [f"{NAME}.jpg"]


def test_a_file_that_the_disk_lost_is_taken_again(add, progress, kept, folder):
    """A database put back without its photos says they are here; the phone that offers one knows better."""
    add(0, PICTURE)
    (path,) = (folder / "photos").glob(f"*/{NAME}")
    path.unlink()
    assert progress() == photos.Progress(0, SIZE, complete=False)
    assert add(0, PICTURE[:100]) == photos.Progress(100, SIZE, complete=False)
    assert add(100, PICTURE[100:]) == photos.Progress(SIZE, SIZE, complete=True)
    assert kept() == PICTURE
