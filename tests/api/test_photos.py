"""Uploads in pieces, and the files back."""

import io

import piexif
import pytest
from PIL import Image

from tests.conftest import new_phone
from tests.phone import jpeg, sha256

from .error_shape import assert_error

PICTURE = jpeg(1600, 1200)
NAME = sha256(PICTURE)
SIZE = len(PICTURE)


def head(phone, name=NAME):
    response = phone.client.head(f"/api/photos/{name}")
    return response.status_code, response.headers


def test_an_upload_as_the_phone_makes_it(phone):
    status, headers = head(phone)
    assert (status, headers["Upload-Offset"], headers["Upload-Complete"]) == (200, "0", "?0")
    assert "Upload-Length" not in headers
    response = phone.patch(NAME, 0, SIZE, PICTURE[:1000])
    assert (response.status_code, response.data) == (204, b"")
    assert (response.headers["Upload-Offset"], response.headers["Upload-Complete"]) == ("1000", "?0")
    status, headers = head(phone)
    assert (headers["Upload-Offset"], headers["Upload-Length"]) == ("1000", str(SIZE))
    response = phone.patch(NAME, 1000, SIZE, PICTURE[1000:])
    assert (response.headers["Upload-Offset"], response.headers["Upload-Complete"]) == (str(SIZE), "?1")
    _, headers = head(phone)
    assert (headers["Upload-Offset"], headers["Upload-Complete"]) == (str(SIZE), "?1")


def test_the_file_comes_back_and_may_be_kept(phone):
    phone.upload(PICTURE)
    response = phone.client.get(f"/api/photos/{NAME}")
    assert response.data == PICTURE
    assert response.mimetype == "image/jpeg"
    assert response.headers["Cache-Control"] == "private, max-age=31536000, immutable"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"


def test_part_of_a_recording_can_be_had(phone):
    sound = b"\x1aE\xdf\xa3\x42\x82\x84webm\x86\x86A_OPUS" + bytes(range(200))
    phone.upload(sound)
    response = phone.client.get(f"/api/photos/{sha256(sound)}", headers={"Range": "bytes=10-19"})
    assert (response.status_code, response.data) == (206, sound[10:20])
    assert_error(phone.client.get(f"/api/photos/{sha256(sound)}/thumb"), 404, "not_found")
    assert_error(phone.client.get(f"/api/photos/{sha256(sound)}", headers={"Range": "bytes=900-"}), 416)


def test_the_small_picture(phone):
    phone.upload(PICTURE)
    response = phone.client.get(f"/api/photos/{NAME}/thumb")
    with Image.open(io.BytesIO(response.data)) as small:
        assert (small.format, small.size) == ("JPEG", (320, 240))
    assert "immutable" in response.headers["Cache-Control"]


def test_a_file_not_here_yet(phone):
    phone.patch(NAME, 0, SIZE, PICTURE[:1000])
    for address in (f"/api/photos/{NAME}", f"/api/photos/{NAME}/thumb", f"/api/photos/{'0' * 64}"):
        assert_error(phone.client.get(address), 404, "not_found")


def test_a_wrong_offset_is_answered_with_the_right_one(phone):
    phone.patch(NAME, 0, SIZE, PICTURE[:1000])
    for offset in (0, 999, 1001):
        response = phone.patch(NAME, offset, SIZE, PICTURE[offset : offset + 10])
        assert_error(response, 409, "other_offset")
        assert response.headers["Upload-Offset"] == "1000"
        assert response.headers["Upload-Complete"] == "?0"


def test_two_uploads_of_one_photo_do_not_disturb_each_other(app, phone):
    other = new_phone(app)
    phone.patch(NAME, 0, SIZE, PICTURE[:1000])
    response = other.patch(NAME, 0, SIZE, PICTURE[:500])
    assert (response.status_code, response.headers["Upload-Offset"]) == (409, "1000")
    assert other.patch(NAME, 1000, SIZE, PICTURE[1000:2000]).status_code == 204
    response = phone.patch(NAME, 1000, SIZE, PICTURE[1000:1500])
    assert (response.status_code, response.headers["Upload-Offset"]) == (409, "2000")
    assert phone.patch(NAME, 2000, SIZE, PICTURE[2000:]).headers["Upload-Complete"] == "?1"
    assert other.client.get(f"/api/photos/{NAME}").data == PICTURE


def test_wrong_bytes_may_be_sent_again(phone):
    wrong = b"x" * SIZE
    message = assert_error(phone.patch(NAME, 0, SIZE, wrong), 422, "wrong_hash")
    assert "again from the start" in message
    assert head(phone)[1]["Upload-Offset"] == "0"
    assert phone.upload(PICTURE).status_code == 204


GPS = {piexif.GPSIFD.GPSLatitudeRef: b"N", piexif.GPSIFD.GPSLatitude: ((52, 1), (30, 1), (0, 1))}


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"<svg onload='alert(1)'/>", "no picture"),
        (b"MZ" + b"\0" * 100, "no picture"),
        (jpeg(exif=piexif.dump({"GPS": GPS})), "location"),
        (PICTURE[:-2000], "cut off"),
        (jpeg(7000, 6000), "too many pixels"),
    ],
    ids=["svg", "program", "place", "cut off", "42 million pixels"],
)
def test_what_the_shop_cannot_keep_is_refused_clearly(phone, content, says):
    entry = phone.entry("photo", {"sha256": sha256(content), "bytes": len(content)})
    phone.sync(entry)
    assert says in assert_error(phone.upload(content), 422, "unfit")
    assert says in assert_error(phone.upload(content), 422, "unfit")  # told at once, before the bytes count
    assert head(phone, sha256(content))[0] == 422
    answer = phone.sync(entry)
    assert answer["accepted"] == [entry["id"]]  # the entry stays
    assert answer["photos_wanted"] == []


@pytest.mark.parametrize("header", ["Upload-Offset", "Upload-Length"])
@pytest.mark.parametrize("value", ["-1", "", "1.5", "ten", "1e3", "9" * 40, "٣"])
def test_headers_that_are_no_number(phone, header, value):
    headers = {"Upload-Offset": "0", "Upload-Length": "10"} | {header: value.encode().decode("latin-1")}
    message = assert_error(phone.client.patch(f"/api/photos/{NAME}", data=b"x", headers=headers), 400, "bad_header")
    assert header in message


def test_missing_headers(phone):
    assert_error(phone.client.patch(f"/api/photos/{NAME}", data=b"x"), 400, "bad_header")


@pytest.mark.parametrize("size", [0, 20_000_001, 10**11])
def test_files_of_no_or_too_great_length(phone, size):
    assert_error(phone.patch(NAME, 0, size, b""), 413, "too_large")


def test_pieces_over_the_limit(phone):
    assert_error(phone.patch(NAME, 0, 2_000_000, b"x" * 1_000_001), 413, "too_large")
    assert_error(phone.patch(NAME, 0, 3_000_000, b"x" * 2_500_000), 413, "too_large")
    assert phone.patch(NAME, 0, 2_000_000, b"x" * 1_000_000).status_code == 204


def test_a_piece_beyond_the_end(phone):
    assert_error(phone.patch(NAME, 0, SIZE, PICTURE + b"x"), 400, "too_long")
    assert_error(phone.patch(NAME, SIZE + 5, SIZE, b""), 400, "too_long")


def test_an_empty_piece_changes_nothing(phone):
    phone.patch(NAME, 0, SIZE, PICTURE[:1000])
    response = phone.patch(NAME, 1000, SIZE, b"")
    assert (response.status_code, response.headers["Upload-Offset"]) == (204, "1000")


@pytest.mark.parametrize("name", [NAME.upper(), NAME[:-1], NAME + "0", "..", "%2e%2e", "x" * 64, "%00" * 20])
def test_names_that_are_no_hash(phone, name):
    assert_error(phone.client.get(f"/api/photos/{name}"), 404)
    assert_error(phone.patch(name, 0, SIZE, b"x"), 404)


def test_strangers_get_nothing(phone, stranger):
    phone.upload(PICTURE)
    for address in (f"/api/photos/{NAME}", f"/api/photos/{NAME}/thumb"):
        assert_error(stranger.get(address), 401, "signed_out")
    assert stranger.head(f"/api/photos/{NAME}").status_code == 401
