"""Pictures on their way into the phone: upright, small, without metadata, or refused in clear words."""

import base64
import hashlib
import io

import exifread
import pytest
from PIL import Image

from .conftest import refusal, run
from .pictures import camera_jpeg, colours, noise_jpeg, png_header_of, quarters, saved

FILE = "new File([Uint8Array.from(atob(arg[0]), (letter) => letter.charCodeAt(0))], arg[1], {type: arg[2]})"


def as_file(content: bytes, name="photo.jpg", mime="image/jpeg") -> list[str]:
    return [base64.b64encode(content).decode(), name, mime]


def take_in(page, content: bytes, **named) -> dict:
    return run(page, f"photos.takeIn({FILE})", as_file(content, **named))


def refused(page, content: bytes, **named) -> str:
    found = refusal(page, f"photos.takeIn({FILE})", as_file(content, **named))
    assert found["name"] == "PhotoRefused", found
    assert run(page, "database.read(['photos', 'thumbs'], (tx) => tx.objectStore('photos').count())") == 0
    return found["message"]


def bytes_of(page, sha256: str, store="photos") -> bytes:
    read = """database.read([arg[0]], (tx) => tx.objectStore(arg[0]).get(arg[1])).then((row) => {
        if (!(row.bytes instanceof ArrayBuffer)) throw new Error('not an ArrayBuffer');
        return Array.from(new Uint8Array(row.bytes)); })"""
    return bytes(run(page, read, [store, sha256]))


# Orientation -> colours of the quarters once upright, from the definition of the tag (EXIF 2.3, tag 0x0112):
# where the stored row 0 and column 0 belong.
UPRIGHT = {
    1: ["red", "green", "blue", "white"],
    2: ["green", "red", "white", "blue"],
    3: ["white", "blue", "green", "red"],
    4: ["blue", "white", "red", "green"],
    5: ["red", "blue", "green", "white"],
    6: ["blue", "red", "white", "green"],
    7: ["white", "green", "blue", "red"],
    8: ["green", "white", "red", "blue"],
}


@pytest.mark.parametrize("orientation", UPRIGHT)
def test_a_picture_is_turned_upright_once_reduced_and_loses_its_metadata(page, orientation):
    original = camera_jpeg(2400, 1800, orientation)
    assert exifread.process_file(io.BytesIO(original))["GPS GPSLatitude"]
    taken = take_in(page, original)
    kept = bytes_of(page, taken["sha256"])
    image = Image.open(io.BytesIO(kept))
    size = (1200, 1600) if orientation >= 5 else (1600, 1200)
    assert image.size == size == (taken["width"], taken["height"])
    assert image.format == "JPEG" and taken["mime"] == "image/jpeg"
    assert colours(image) == UPRIGHT[orientation]
    assert exifread.process_file(io.BytesIO(kept)) == {}
    assert b"Exif" not in kept and b"GPS" not in kept
    assert hashlib.sha256(kept).hexdigest() == taken["sha256"]
    assert len(kept) == taken["bytes"] <= 300_000
    thumb = Image.open(io.BytesIO(bytes_of(page, taken["sha256"], "thumbs")))
    assert max(thumb.size) == 320
    assert colours(thumb) == UPRIGHT[orientation]


def test_a_picture_of_noise_still_becomes_small(page):
    taken = take_in(page, noise_jpeg(2000, 1500))
    assert taken["bytes"] <= 300_000
    assert max(taken["width"], taken["height"]) >= 800


def test_a_small_picture_is_not_blown_up(page):
    taken = take_in(page, saved(quarters(400, 300), "JPEG"))
    assert (taken["width"], taken["height"]) == (400, 300)


@pytest.mark.parametrize(
    "content",
    [
        saved(quarters(640, 480), "JPEG", progressive=True),
        saved(quarters(640, 480), "JPEG", restart_marker_rows=1),
        saved(quarters(640, 480), "JPEG") + b"a film that the camera hung on to the picture",
        saved(quarters(640, 480), "PNG"),
        saved(quarters(640, 480), "WebP"),
        saved(quarters(640, 480), "WebP", lossless=True),
        saved(quarters(640, 480), "WebP", exif=b"Exif\0\0II*\0\x08\0\0\0\0\0\0\0\0\0"),
    ],
    ids=["progressive", "restart markers", "trailing bytes", "png", "webp", "webp lossless", "webp extended"],
)
def test_whole_pictures_of_every_kind_are_taken_in(page, content):
    taken = take_in(page, content)
    image = Image.open(io.BytesIO(bytes_of(page, taken["sha256"])))
    assert image.size == (640, 480)
    assert colours(image) == UPRIGHT[1]


def test_what_is_transparent_becomes_white(page):
    taken = take_in(page, saved(Image.new("RGBA", (64, 64), (0, 0, 0, 0)), "PNG"), mime="image/png")
    image = Image.open(io.BytesIO(bytes_of(page, taken["sha256"])))
    assert min(image.convert("RGB").getpixel((32, 32))) > 250


WHOLE = saved(quarters(640, 480), "JPEG", quality=95)
PROGRESSIVE = saved(quarters(640, 480), "JPEG", progressive=True)


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.999])
@pytest.mark.parametrize("content", [WHOLE, PROGRESSIVE], ids=["baseline", "progressive"])
def test_a_jpeg_that_breaks_off_is_refused(page, content, share):
    assert "breaks off" in refused(page, content[: int(len(content) * share)])


def test_a_camera_jpeg_that_breaks_off_is_refused_though_its_thumbnail_ends(page):
    content = camera_jpeg(2400, 1800, 6)
    assert "breaks off" in refused(page, content[: len(content) // 2])


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"This is a letter and no picture.", "not a picture"),
        (b"GIF89a" + bytes(40), "not a picture"),
        (WHOLE[:3], "not a picture"),
        (saved(quarters(640, 480), "PNG")[:-20], "breaks off"),
        (saved(quarters(640, 480), "WebP")[:-20], "breaks off"),
        (png_header_of(20000, 20000), "20000 \u00d7 20000 pixels"),
        (png_header_of(300, 300), "damaged"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"),
    ],
    ids=["empty", "text", "gif", "three bytes", "png cut", "webp cut", "bomb", "png broken inside", "heic"],
)
def test_what_cannot_be_taken_in_is_refused_in_clear_words(page, content, words):
    assert words in refused(page, content)


def test_a_huge_file_is_refused_before_it_is_read(page):
    huge = """photos.takeIn((() => {
        const file = new File([new Uint8Array(50000001)], 'film.jpg', {type: 'image/jpeg'});
        file.arrayBuffer = () => { throw new Error('it was read'); };
        return file;
    })())"""
    assert "at most 50 MB" in refusal(page, huge)["message"]


def test_a_photo_that_the_phone_has_no_room_for_is_refused_before_anything_is_written(page):
    full = f"""(async () => {{
        navigator.storage.estimate = async () => ({{quota: 1000000, usage: 999000}});
        return await photos.takeIn({FILE});
    }})()"""
    assert "full" in refusal(page, full, as_file(WHOLE))["message"]


def test_a_quota_met_only_while_writing_is_refused_and_leaves_nothing_by_half(page):
    full = f"""(async () => {{
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (row, ...key) {{
            if (this.name === 'thumbs') throw new DOMException('full', 'QuotaExceededError');
            return put.call(this, row, ...key);
        }};
        try {{ return await photos.takeIn({FILE}); }} finally {{ IDBObjectStore.prototype.put = put; }}
    }})()"""
    found = refusal(page, full, as_file(WHOLE))
    assert found["name"] == "PhotoRefused" and "full" in found["message"]
    assert run(page, "database.read(['photos'], (tx) => tx.objectStore('photos').count())") == 0


def test_only_photos_that_the_shop_has_are_let_go_the_oldest_first(page):
    names = [take_in(page, saved(quarters(400 + i, 300), "JPEG"))["sha256"] for i in range(4)]
    mark = """database.write(['photos'], async (tx) => {
        for (const [index, sha256] of arg.entries()) {
            const row = await tx.objectStore('photos').get(sha256);
            await tx.objectStore('photos').put({...row, taken: 10 - index, state: index === 3 ? 'here' : 'shop'});
        }
    })"""
    run(page, mark, names)
    left = "database.read(['photos'], (tx) => tx.objectStore('photos').getAllKeys())"
    assert run(page, "photos.letGo(1)") > 1
    assert set(run(page, left)) == {names[0], names[1], names[3]}
    run(page, "photos.letGo(Infinity)")
    assert run(page, left) == [names[3]]
    assert run(page, "photos.thumbUrl(arg)", names[0]) is not None


def test_urls_are_shared_and_released(page):
    taken = take_in(page, WHOLE)
    first = run(page, "photos.photoUrl(arg)", taken["sha256"])
    assert run(page, "photos.photoUrl(arg)", taken["sha256"]) == first
    shown = """new Promise((done) => {
        const image = new Image();
        image.onload = () => done(image.naturalWidth);
        image.onerror = () => done(0);
        image.src = arg;
    })"""
    assert run(page, shown, first) == 640
    run(page, "photos.releaseUrl(arg)", first)
    assert run(page, shown, first) == 640
    run(page, "photos.releaseUrl(arg)", first)
    assert run(page, shown, first) == 0


def test_a_photo_that_is_nowhere_gives_no_url(signed_in):
    assert run(signed_in, "photos.photoUrl('0'.repeat(64))") is None
    assert run(signed_in, "photos.thumbUrl('0'.repeat(64))") is None
