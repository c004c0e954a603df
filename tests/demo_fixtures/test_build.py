"""The demo is the same on every run, invented throughout, and fit for the shop's own doors."""

import hashlib
import io
import json
import re
import subprocess
import sys

import pytest
import vininfo
from PIL import Image

from coiltrail.core import casefile, entries, vin
from coiltrail.store.entry_check import problem_of
from demo_fixtures import build, drawings, shop
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import STORIES, VARIETY, log_of


@pytest.fixture(scope="module")
def built():
    return shop.build()


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """What the command writes, run as a person runs it."""
    folder = tmp_path_factory.mktemp("demo")
    subprocess.run([sys.executable, build.__file__, str(folder)], check=True, capture_output=True)
    return folder


class TestShop:
    def test_people_of_every_role_with_their_demo_passwords(self):
        assert [person["role"] for person in shop.PEOPLE] == ["owner", "mechanic", "desk"]
        assert all(re.fullmatch(entries.UUID_PATTERN, person["id"]) for person in shop.PEOPLE)
        assert all(person["password"].startswith("demo-") for person in shop.PEOPLE)

    def test_every_entry_passes_the_shops_check(self, built):
        for log in built.cases:
            for entry in log.entries:
                assert problem_of(entry) is None, (entry["kind"], problem_of(entry))

    def test_cases_stand_at_different_stages_and_none_is_left_with_a_question(self, built):
        views = [casefile.view(casefile.fold(log.entries)) for log in built.cases]
        assert [view["status"] for view in views].count("closed") == 3
        assert [view["status"] for view in views].count("open") == 5
        assert not any(view["questions"] for view in views)
        assert any(row["kind"] == "case_reopened" for view in views for row in view["timeline"])
        assert any(view["closing"] and view["closing"].get("later") for view in views)
        shelf = [p for view in views for p in view["parts"] if p["tag"] and p["fate"] and p["fate"]["fate"] == "shelf"]
        assert [part["label"] for part in shelf] == ["the coil that came in at 5"]
        assert {view["engine"]["layout"] for view in views} == {"inline", "vee", "flat"}
        assert len({view["engine"]["ignition"] for view in views}) == 4

    def test_one_case_is_in_the_middle_of_a_round(self, built):
        [log] = [log for log in built.cases if log.entries[0]["body"]["vehicle"].get("plate") == "DEMO 104"]
        looked = [e["body"]["place"] for e in log.entries if e["kind"] == "check"]
        assert looked == ["coil.1", "coil.2"] and log.engine.positions("coil") == 4
        assert log.entries[-1]["kind"] == "photo"

    def test_every_entry_is_recorded_by_one_of_its_people(self, built):
        people = {person["id"] for person in shop.PEOPLE}
        assert {entry["by"] for log in built.cases for entry in log.entries} <= people

    def test_telephone_numbers_are_of_the_range_kept_for_fiction(self, built):
        told = json.dumps([log.entries for log in built.cases]) + json.dumps(shop.SHOP)
        numbers = re.findall(r"\b555-\d{4}\b", told)
        assert len(numbers) > 8
        assert all("555-0100" <= number <= "555-0199" for number in numbers)

    def test_vehicle_numbers_are_right_and_of_no_maker(self, built):
        numbers = [log.entries[0]["body"]["vehicle"].get("vin") for log in built.cases]
        numbers = [number for number in numbers if number]
        assert len(numbers) == 7
        for number in numbers:
            assert vin.check_vin(number)["verdict"] == "good"
            # vininfo is an independent library that knows the letters given to makers.
            independent = vininfo.Vin(number)
            assert independent.verify_checksum()
            assert independent.manufacturer == "UnsupportedBrand"

    def test_model_years_agree_with_the_vehicle_numbers(self, built):
        for log in built.cases:
            vehicle = log.entries[0]["body"]["vehicle"]
            if vehicle.get("vin"):
                assert vin.check_vin(vehicle["vin"])["year"] == vehicle["year"]


class TestPhotos:
    def test_each_is_a_small_plain_jpeg_named_by_its_hash(self, built):
        assert len(built.photos) > 15
        for sha256, picture in built.photos.items():
            assert hashlib.sha256(picture).hexdigest() == sha256
            assert len(picture) < 120_000
            with Image.open(io.BytesIO(picture)) as image:
                assert (image.format, image.size) == ("JPEG", (drawings.WIDTH, drawings.HEIGHT))
                assert not image.getexif()

    def test_every_photo_entry_has_its_picture_and_the_other_way_round(self, built):
        named = [e["body"] for log in built.cases for e in log.entries if e["kind"] == "photo"]
        assert {body["sha256"] for body in named} == set(built.photos)
        assert len(named) == len(built.photos)
        assert all(body["bytes"] == len(built.photos[body["sha256"]]) for body in named)

    def test_what_is_found_shows_in_the_drawing(self):
        good = drawings.connector(2)
        assert len({good, *(drawings.connector(2, f) for f in ("latch_broken", "oily", "burnt", "corroded"))}) == 5
        assert len({drawings.plug(1, f) for f in ("good", "worn", "oiled", "wet", "cracked")}) == 5
        assert len({drawings.coil(1, f) for f in ("good", "tracked", "cracked", "oil_in_well")}) == 4


class TestCommand:
    def test_the_command_writes_what_the_server_loads(self, built, written):
        described = json.loads((written / "shop.json").read_text(encoding="utf-8"))
        assert described == {"shop": shop.SHOP, "people": shop.PEOPLE}
        for log in built.cases:
            lines = (written / "logs" / f"{log.case}.jsonl").read_text(encoding="utf-8").splitlines()
            assert [json.loads(line) for line in lines] == log.entries
        assert {path.name: path.read_bytes() for path in (written / "photos").iterdir()} == {
            f"{sha256}.jpg": picture for sha256, picture in built.photos.items()
        }

    def test_story_logs_can_be_written_out(self, tmp_path):
        assert build.build_stories(tmp_path) == len(STORIES + VARIETY)
        lines = (tmp_path / "stories" / "13a.jsonl").read_text(encoding="utf-8").splitlines()
        assert [json.loads(line) for line in lines] == log_of("13a")


class TestStories:
    def test_there_are_sixteen_each_with_what_must_come_out(self):
        assert {int(story.key.rstrip("ab")) for story in STORIES} == set(range(1, 17))
        assert all(story.title and story.must for story in STORIES + VARIETY)

    def test_keys_are_not_used_twice_and_an_unknown_one_is_an_error(self):
        keys = [story.key for story in STORIES + VARIETY]
        assert len(set(keys)) == len(keys)
        with pytest.raises(KeyError):
            log_of("17")

    def test_a_log_is_the_same_every_time_and_no_two_share_an_id(self):
        assert log_of("whole") == log_of("whole")
        ids = [entry["id"] for story in STORIES + VARIETY for entry in story.build().entries]
        assert len(set(ids)) == len(ids)

    def test_stories_pass_the_shops_check(self):
        for story in STORIES + VARIETY:
            for entry in story.build().entries:
                allowed = {"newer": True, "unknown": entry["kind"] == "parts_moved"}.get(story.key, False)
                assert allowed or problem_of(entry) is None, (story.key, problem_of(entry))


class TestLogbook:
    def test_a_phone_counts_its_own_entries(self):
        log = Logbook("counting")
        first = log.device
        log.note("one")
        log.on_device()
        log.note("two")
        log.on_device(first)
        log.note("three")
        assert [entry["n"] for entry in log.entries] == [1, 2, 1, 3]

    def test_moves_name_the_part_that_sat_there(self):
        log = Logbook("naming")
        log.swap("coil", 3, 1)
        back = log.swap("coil", 1, 3)
        assert [move["part"].split(".", 1)[1] for move in back["body"]["moves"]] == ["coil.3", "coil.1"]

    def test_a_quantity_that_cannot_be_read_is_an_error(self):
        with pytest.raises(ValueError, match="number"):
            Logbook("bad").replace("coil.1", torque="tight")
