"""Drafts, stamps, ids and QR codes."""

import uuid

import pytest
import zxingcpp
from PIL import Image, ImageDraw

from .conftest import open_bench, run


def test_a_draft_survives_the_page_and_is_dropped(page, phone):
    form = {"text": "half a sen", "cylinder": 3}
    run(page, "drafts.keep('form/note', arg)", form)
    run(page, "drafts.expectPhoto({case: 'c', about: {cylinder: 3}, screen: '#/round'})")
    page.close()
    page = open_bench(phone)
    assert run(page, "drafts.kept('form/note')") == form
    expected = run(page, "drafts.expectedPhoto()")
    assert (expected["about"], expected["screen"]) == ({"cylinder": 3}, "#/round") and expected["since"] > 0
    run(page, "Promise.all([drafts.drop('form/note'), drafts.photoCame()])")
    assert run(page, "drafts.kept('form/note').then((value) => value ?? null)") is None
    assert run(page, "drafts.expectedPhoto().then((value) => value ?? null)") is None


DAY = 24 * 3600 * 1000


@pytest.mark.parametrize(
    ("last", "now", "following"),
    [([0, 0], 1000, [1000, 0]), ([1000, 0], 1000, [1000, 1]), ([1000, 7], 500, [1000, 8]), ([999, 7], 1000, [1000, 0])],
)
def test_the_next_stamp_is_later_whatever_the_wall_clock_says(page, last, now, following):
    assert run(page, "clock.next(arg[0], arg[1])", [last, now]) == following


@pytest.mark.parametrize(
    ("last", "seen", "result"),
    [
        ([1000, 0], [500, 9], [1000, 0]),
        ([1000, 0], [1000, 3], [1000, 3]),
        ([1000, 0], [3 * DAY, 3], [3 * DAY, 3]),  # a phone can be days off
        ([1000, 0], [500 * DAY, 0], [1000, 0]),  # that one is broken
    ],
)
def test_a_stamp_seen_from_another_device_moves_the_clock(page, last, seen, result):
    assert run(page, "clock.past(arg[0], arg[1], 1000)", [last, seen]) == result


def test_ids_are_uuids_of_version_7_that_carry_their_time(page):
    now = 1_774_900_000_123
    ids = run(page, "Promise.resolve(Array.from({length: 200}, () => clock.uuid7(arg)))", now)
    assert len(set(ids)) == 200
    for text in ids:
        parsed = uuid.UUID(text)
        assert (parsed.version, parsed.variant, str(parsed)) == (7, uuid.RFC_4122, text)
        assert parsed.int >> 80 == now


@pytest.mark.parametrize("text", ["HTTPS://SHOP.EXAMPLE/T/0123456789", "small letters and ümläuts too", "X" * 300])
def test_a_qr_code_is_read_back_by_an_independent_decoder(page, text):
    code = run(page, "qr.qrPath(arg)", text)
    scale = 4
    image = Image.new("L", (code["size"] * scale, code["size"] * scale), "white")
    pen = ImageDraw.Draw(image)
    # Each run is "M<x> <y>h<length>v1h-<length>z".
    for run_of_modules in code["path"].split("z")[:-1]:
        start, length = run_of_modules.removeprefix("M").split("v")[0].split("h")
        x, y = (int(number) for number in start.split())
        pen.rectangle((x * scale, y * scale, (x + int(length)) * scale - 1, (y + 1) * scale - 1), fill="black")
    (found,) = zxingcpp.read_barcodes(image)
    assert found.text == text
    # Four modules of quiet zone on every side (ISO/IEC 18004).
    dark = image.point(lambda grey: 255 - grey).getbbox()
    assert dark == (4 * scale, 4 * scale, (code["size"] - 4) * scale, (code["size"] - 4) * scale)


def test_capitals_make_the_smaller_code(page):
    sizes = [
        run(page, "qr.qrPath(arg)", text)["size"]
        for text in ("HTTPS://SHOP.EXAMPLE/T/0123456789", "https://shop.example/t/0123456789")
    ]
    # 33 alphanumeric characters at level M fit version 2 (25 modules), as bytes they need version 3 (29).
    assert sizes == [25 + 8, 29 + 8]
