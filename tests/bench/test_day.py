"""The load is work that the shop takes, and the same size every time."""

from coiltrail.bench import day
from coiltrail.store import entry_check
from coiltrail.store.clock import uuid7


def test_every_entry_would_be_taken_and_every_photo_is_named():
    made = day.make(uuid7(), "somebody", cases=3, entries=40, photos=8)
    assert len(made.entries) == 40 and len({entry["case"] for entry in made.entries}) == 3
    assert [entry_check.problem_of(entry) for entry in made.entries] == [None] * 40
    assert [entry["n"] for entry in made.entries] == list(range(1, 41))
    named = {entry["body"]["sha256"] for entry in made.entries if entry["kind"] == "photo"}
    assert named == {day.sha256_of(photo) for photo in made.photos} and len(named) == 8


def test_photos_have_their_size_and_can_be_kept(tmp_path):
    from coiltrail.store import media

    for at, photo in enumerate(day.make("d", "b", cases=1, entries=4, photos=3).photos):
        path = tmp_path / str(at)
        path.write_bytes(photo)
        assert len(photo) == day.PHOTO_BYTES
        assert media.inspect(path, 40_000_000) == media.Media("image/jpeg", 1600, 1200)
