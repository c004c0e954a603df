"""What is kept as a picture or a sound, and that no bytes get further than a clear refusal."""

import io
import struct
import zlib
from concurrent.futures import ThreadPoolExecutor

import piexif
import pillow_heif
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFile, PngImagePlugin

from coiltrail.store import media
from tests.phone import jpeg

LIMIT = 40_000_000
GPS = {piexif.GPSIFD.GPSLatitudeRef: b"N", piexif.GPSIFD.GPSLatitude: ((52, 1), (30, 1), (0, 1))}


@pytest.fixture
def inspect(tmp_path):
    def inspect(content, limit=LIMIT):
        path = tmp_path / "file"
        path.write_bytes(content)
        return media.inspect(path, limit)

    return inspect


def picture(form, mode="RGB", **options):
    file = io.BytesIO()
    Image.new(mode, (40, 30)).save(file, form, **options)
    return file.getvalue()


@pytest.mark.parametrize(("form", "type_"), [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/webp")])
def test_pictures_are_known_by_their_content(inspect, form, type_):
    assert inspect(picture(form)) == media.Media(type_, 40, 30)


WEBM = b"\x1aE\xdf\xa3\x9f\x42\x82\x84webm"  # the head as a browser's recorder writes it


def box(name, *content):
    inside = b"".join(content)
    return struct.pack(">I", 8 + len(inside)) + name + inside


def movie(*content):
    """An MP4 with these tables, its sound before them."""
    return box(b"ftyp", b"M4A \0\0\0\0") + box(b"mdat", b"\xa9xyz vide") + box(b"moov", *content)


def handler(kind):
    return box(b"hdlr", b"\0" * 8, kind, b"\0" * 12)


def ogg(first):
    return b"OggS" + b"\0" * 22 + b"\x01\x13" + first


@pytest.mark.parametrize(
    ("content", "type_"),
    [
        (WEBM + b"S\xab\x84\x1fC\xb6u" + b"\x86\x86A_OPUS" + b"\x1fC\xb6u" + b"\x86\x85V_VP8 by chance", "audio/webm"),
        (ogg(b"OpusHead"), "audio/ogg"),
        (ogg(b"\x01vorbis"), "audio/ogg"),
        (movie(handler(b"soun")), "audio/mp4"),
    ],
)
def test_sounds_are_known_by_what_describes_them(inspect, content, type_):
    assert inspect(content) == media.Media(type_)


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (WEBM + b"\x86\x86A_OPUS\x86\x85V_VP8", "film"),
        (movie(handler(b"vide"), handler(b"soun")), "film"),
        (ogg(b"\x01vorbis") + ogg(b"\x80theora"), "film"),
        (movie(handler(b"soun"), box(b"udta", box(b"\xa9xyz", b"+52.5+013.4/"))), "place"),
        (WEBM + b"\x86\x86A_OPUS" + b"RECORDING_LOCATION", "place"),
        (WEBM.replace(b"webm", b"matr") + b"\x86\x86A_OPUS", "no picture"),
        (WEBM, "no picture"),
        (ogg(b"Speex"), "no picture"),
        (movie(), "no picture"),
        (b"\0\0\0\x18ftypmp42" + b"\0" * 50, "no picture"),
    ],
)
def test_films_and_sounds_that_tell_their_place_are_unfit(inspect, content, why):
    with pytest.raises(media.Unfit, match=why):
        inspect(content)


@pytest.mark.parametrize(
    "content",
    [b"", b"x", b"<html></html>", b"%PDF-1.7", b"GIF89a" + b"\0" * 40, picture("GIF"), picture("BMP"), picture("TIFF")],
    ids=["empty", "one byte", "page", "document", "gif head", "gif", "bmp", "tiff"],
)
def test_other_files_are_unfit(inspect, content):
    with pytest.raises(media.Unfit, match="no picture"):
        inspect(content)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_picture_cut_off_is_unfit(inspect, form):
    file = io.BytesIO()
    Image.effect_noise((200, 200), 90).convert("RGB").save(file, form)
    content = file.getvalue()
    with pytest.raises(media.Unfit, match=r"cut off or damaged|no picture"):
        inspect(content[: len(content) * 2 // 3])


def test_too_many_pixels_are_refused_before_decoding(inspect):
    with pytest.raises(media.Unfit, match="too many pixels"):
        inspect(picture("PNG"), limit=40 * 30 - 1)
    assert inspect(picture("PNG"), limit=40 * 30).width == 40


@pytest.mark.parametrize("side", [10_000, 60_000, 2**31 - 1])
def test_a_bomb_is_refused_by_its_header_alone(inspect, side):
    header = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    chunks = b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" * 100)), (b"IEND", b""))
    )
    with pytest.raises(media.Unfit, match="too many pixels"):
        inspect(b"\x89PNG\r\n\x1a\n" + chunks)


def test_a_bomb_in_the_notes_of_a_png_is_refused(inspect):
    notes = PngImagePlugin.PngInfo()
    notes.add_text("comment", "x" * 200_000_000, zip=True)
    with pytest.raises(media.Unfit):
        inspect(picture("PNG", pnginfo=notes))


def test_a_jpeg_of_endless_scans_is_refused_unread(inspect):
    """Each scan is a pass over the whole picture; thousands fit into a file that the shop would take."""
    content = jpeg(64, 64, progressive=True)
    last = content.rindex(b"\xff\xda")
    assert inspect(content).width == 64
    assert inspect(content[:-2] + content[last:-2] * 50 + content[-2:]).width == 64
    with pytest.raises(media.Unfit, match="too long to read"):
        inspect(content[:-2] + content[last:-2] * 5000 + content[-2:])


@pytest.mark.parametrize("form", ["HEIF", "AVIF"])
def test_still_pictures_in_the_container_of_sounds_are_no_sounds(inspect, form):
    """They would be kept unseen, with the place in them."""
    file, still = io.BytesIO(), Image.new("RGB", (64, 64))
    if form == "HEIF":
        pillow_heif.from_pillow(still).save(file)
    else:
        still.save(file, form)
    assert file.getvalue()[4:8] == b"ftyp"
    with pytest.raises(media.Unfit, match="no picture"):
        inspect(file.getvalue())


def test_pictures_are_decoded_beside_each_other_only_as_far_as_memory_goes(tmp_path, monkeypatch):
    """Ten at once of which two fit: never more than two, and all of them get their turn."""
    paths = [tmp_path / str(at) for at in range(10)]
    for path in paths:
        path.write_bytes(picture("PNG"))
    monkeypatch.setattr(media, "MOST_DECODED", 2 * 40 * 30 + 1)
    seen, load = [], ImageFile.ImageFile.load

    def watched(self):
        seen.append(media._decoding)
        return load(self)

    monkeypatch.setattr(ImageFile.ImageFile, "load", watched)
    with ThreadPoolExecutor(10) as many:
        found = list(many.map(lambda path: media.inspect(path, LIMIT), paths))
    assert [one.width for one in found] == [40] * 10
    assert seen and max(seen) <= 2 * 40 * 30
    assert media._decoding == 0


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_picture_that_tells_its_place_is_refused(inspect, form):
    with pytest.raises(media.Unfit, match="without location"):
        inspect(picture(form, exif=piexif.dump({"GPS": GPS})))


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_other_notes_of_the_camera_are_no_harm(inspect, form):
    assert inspect(picture(form, exif=piexif.dump({"0th": {piexif.ImageIFD.Orientation: 6}}))).width == 40


XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><exif:GPSLatitude>52,30.0N</exif:GPSLatitude></x:xmpmeta>'


@pytest.mark.parametrize("form", ["JPEG", "WEBP"])
def test_a_place_in_xmp_is_refused(inspect, form):
    with pytest.raises(media.Unfit, match="without location"):
        inspect(picture(form, xmp=XMP))


def test_a_place_in_a_png_text_is_refused(inspect):
    notes = PngImagePlugin.PngInfo()
    notes.add_itxt("XML:com.adobe.xmp", XMP.decode())
    with pytest.raises(media.Unfit, match="without location"):
        inspect(picture("PNG", pnginfo=notes))


PICTURES = [jpeg(), picture("PNG"), picture("WEBP"), picture("JPEG", exif=piexif.dump({"GPS": GPS}))]


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.sampled_from(PICTURES), st.data())
def test_damaged_pictures_are_either_whole_or_unfit(inspect, tmp_path, content, data):
    """Whatever bytes change, nothing but Unfit comes out, and what is kept has a thumbnail."""
    damaged = bytearray(content)
    for _ in range(data.draw(st.integers(1, 8))):
        damaged[data.draw(st.integers(0, len(damaged) - 1))] = data.draw(st.integers(0, 255))
    try:
        found = inspect(bytes(damaged))
    except media.Unfit:
        return
    if found.width:
        media.write_thumbnail(tmp_path / "file", tmp_path / "thumb")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_a_sound_or_unfit(inspect, content):
    try:
        assert inspect(content).type.startswith("audio/")
    except media.Unfit as unfit:
        assert str(unfit)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_kind_of_png_has_a_thumbnail(tmp_path, mode):
    path, thumb = tmp_path / "picture", tmp_path / "thumb"
    Image.new(mode, (800, 400)).save(path, "PNG")
    media.write_thumbnail(path, thumb)
    with Image.open(thumb) as small:
        assert (small.format, small.size) == ("JPEG", (320, 160))


def test_a_cmyk_jpeg_has_a_thumbnail(tmp_path):
    Image.new("CMYK", (800, 400)).save(tmp_path / "picture", "JPEG")
    media.write_thumbnail(tmp_path / "picture", tmp_path / "thumb")
    with Image.open(tmp_path / "thumb") as small:
        assert small.mode == "RGB"


def test_thumbnails_stand_upright_and_carry_no_notes(tmp_path):
    exif = piexif.dump({"0th": {piexif.ImageIFD.Orientation: 6, piexif.ImageIFD.Make: b"Invented"}})
    (tmp_path / "picture").write_bytes(jpeg(800, 400, exif=exif))
    media.write_thumbnail(tmp_path / "picture", tmp_path / "thumb")
    with Image.open(tmp_path / "thumb") as small:
        assert small.size == (160, 320)
        assert not small.getexif()
