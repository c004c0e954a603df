"""A tag's code leads to the part it hangs on."""

import contextlib
import io

import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from coiltrail import labels
from coiltrail.core import tags
from coiltrail.store.clock import uuid7
from tests.conftest import config_in, new_phone, running

from .error_shape import assert_error

CODE = next(code for code in (tags.new_tag(bytes([k] * 6)) for k in range(1, 99)) if code)
OTHER = next(code for code in (tags.new_tag(bytes([k] * 6)) for k in range(99, 250)) if code)


def bound(phone, case, part=None, code=CODE, **more):
    return phone.entry("tag_bound", {"code": code, "part": part or f"{case}.coil.3"}, case=case, **more)


def test_a_bound_tag_leads_to_part_and_case(phone):
    case = uuid7()
    phone.sync(phone.case_opened(case), bound(phone, case))
    for typed in (CODE, CODE.lower(), tags.with_groups(CODE)):
        assert phone.client.get(f"/api/tags/{typed}").json == {"code": CODE, "part": f"{case}.coil.3", "case": case}


def test_the_part_is_called_as_the_case_knows_it_now(phone):
    """Somebody noted the part after the tag was bound, so it has a name of its own."""
    case, part = uuid7(), uuid7()
    phone.sync(
        phone.case_opened(case),
        bound(phone, case),
        phone.entry("part_noted", {"part": part, "kind": "coil", "place": "coil.3"}, case=case),
    )
    assert phone.client.get(f"/api/tags/{CODE}").json["part"] == part


def test_the_latest_binding_counts_and_one_struck_out_does_not(phone):
    first, second = uuid7(), uuid7()
    later = bound(phone, second, at=[2000, 0])
    phone.sync(phone.case_opened(first), bound(phone, first, at=[1000, 0]))
    phone.sync(phone.case_opened(second), later)
    assert phone.client.get(f"/api/tags/{CODE}").json["case"] == second
    phone.sync(phone.entry("struck", {"entry": later["id"], "why": "Wrong tag"}, case=second, at=[3000, 0]))
    assert phone.client.get(f"/api/tags/{CODE}").json["case"] == first


def test_a_tag_whose_case_has_not_come_in_yet_leads_there_all_the_same(phone):
    case = uuid7()
    phone.sync(bound(phone, case))
    assert phone.client.get(f"/api/tags/{CODE}").json == {"code": CODE, "part": f"{case}.coil.3", "case": case}


def test_a_tag_that_is_not_bound(phone):
    assert_error(phone.client.get(f"/api/tags/{OTHER}"), 404, "not_bound")


@pytest.mark.parametrize("typed", ["X", CODE + "0", CODE[:-1] + ("0" if CODE[-1] != "0" else "1"), "%00", "ünïcödé"])
def test_a_mistyped_code_is_told_what_is_wrong(phone, typed):
    assert_error(phone.client.get(f"/api/tags/{typed}"), 404, "no_such_tag")


@pytest.mark.parametrize("dpi", [203, 300])
def test_the_label_is_read_by_another_decoder_and_its_address_opens_the_part(app, phone, stranger, dpi):
    case = uuid7()
    customer = {"name": "Somebody Secret", "phone": "555-0177"}
    phone.sync(phone.case_opened(case, customer=customer), bound(phone, case))
    response = phone.client.get(f"/api/tags/{CODE}/label.png?dpi={dpi}")
    assert response.mimetype == "image/png"
    (read,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(response.data)))
    assert read.text == f"HTTP://LOCALHOST:8000/T/{CODE}"
    path = read.text.removeprefix("HTTP://LOCALHOST:8000")
    assert '<script type="module"' in phone.client.get(path).text  # the application, which reads the address
    assert phone.client.get(f"/api/tags/{path.rpartition('/')[2]}").json["case"] == case
    assert "script" not in stranger.get(path).text


def test_a_tag_not_bound_yet_has_a_label_too(phone):
    response = phone.client.get(f"/api/tags/{OTHER}/label.png")
    (read,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(response.data)))
    assert read.text.endswith(f"/T/{OTHER}")


@pytest.mark.parametrize("vehicle", [{"plate": "FABLE 77", "make": "Larkfield"}, {"make": "Larkfield", "year": 2011}])
def test_the_label_names_part_plate_or_car_case_day_and_shop_and_nothing_of_the_customer(phone, vehicle):
    case, at = uuid7(), [1_780_000_000_000, 0]
    customer = {"name": "Somebody Secret", "phone": "555-0177"}
    phone.sync(phone.case_opened(case, vehicle=vehicle, customer=customer), bound(phone, case, at=at))
    shop = phone.client.get("/api/me").json["shop"]
    car = vehicle.get("plate", "2011 Larkfield")
    lines = ["The coil that came in at 3", car, f"Case {case[-6:].upper()}", "2026-05-28", shop["phone"], shop["name"]]
    drawn = labels.draw(f"HTTP://LOCALHOST:8000/T/{CODE}", tags.with_groups(CODE), lines, 300, "40x20")
    told = Image.open(io.BytesIO(phone.client.get(f"/api/tags/{CODE}/label.png?dpi=300&size=40x20").data))
    assert told.tobytes() == drawn.tobytes()


@pytest.mark.parametrize("dpi", ["", "0", "72", "-203", "203.0", "many", "9" * 50])
def test_resolutions_that_no_printer_has(phone, dpi):
    response = phone.client.get(f"/api/tags/{CODE}/label.png?dpi={dpi}")
    assert "203 or 300" in assert_error(response, 422, "invalid", "dpi")


@pytest.mark.parametrize("size", ["", "10x10", "62X29", "62x29 "])
def test_sizes_that_are_not_drawn(phone, size):
    response = phone.client.get(f"/api/tags/{CODE}/label.png?size={size}")
    assert "62x29, 50x25, 40x20" in assert_error(response, 422, "invalid", "size")


@pytest.mark.parametrize(("paper", "pages"), [("roll", 30), ("a4", 2), ("letter", 2)])
def test_labels_printed_ahead_are_all_read_and_bound_to_nothing(phone, paper, pages):
    asked = {"count": 30, "paper": paper, "size": "62x29", "dpi": 300}
    response = phone.client.post("/api/tags/roll", json=asked)
    assert response.mimetype == "application/pdf"
    with contextlib.closing(pypdfium2.PdfDocument(response.data)) as document:
        assert len(document) == pages
        images = [page.render(scale=300 / 72).to_pil() for page in document]
    found = [read.text.rpartition("/")[2] for image in images for read in zxingcpp.read_barcodes(image)]
    assert len(set(found)) == 30
    assert all(tags.check_tag(code) == {"code": code} for code in found)
    case = uuid7()
    assert_error(phone.client.get(f"/api/tags/{found[0]}"), 404, "not_bound")
    phone.sync(phone.case_opened(case), bound(phone, case, code=found[0]))
    assert phone.client.get(f"/api/tags/{found[0]}").json["case"] == case


@pytest.mark.parametrize(("paper", "pages"), [("roll", 2), ("a4", 1)])
def test_labels_of_several_tags_come_as_one_file_in_the_order_they_are_named(phone, paper, pages):
    case = uuid7()
    phone.sync(phone.case_opened(case), bound(phone, case))
    response = phone.client.post("/api/tags/labels", json={"codes": [OTHER, CODE], "paper": paper, "dpi": 300})
    assert response.mimetype == "application/pdf"
    with contextlib.closing(pypdfium2.PdfDocument(response.data)) as document:
        images = [page.render(scale=300 / 72).to_pil() for page in document]
    assert len(images) == pages
    read = [
        square.text.rpartition("/")[2]
        for image in images
        for square in sorted(zxingcpp.read_barcodes(image), key=lambda one: one.position.top_left.x)
    ]
    assert read == [OTHER, CODE]


@pytest.mark.parametrize("codes", [None, [], [CODE] * 301, "all", [7]])
def test_tags_that_cannot_be_printed_together(phone, codes):
    response = phone.client.post("/api/tags/labels", json={"codes": codes})
    assert "1 to 300 codes" in assert_error(response, 422, "invalid")


def test_one_mistyped_code_among_several_is_told(phone):
    assert_error(phone.client.post("/api/tags/labels", json={"codes": [CODE, "X"]}), 404, "no_such_tag")


@pytest.mark.parametrize(
    ("asked", "what"),
    [
        ({}, "from 1 to"),
        ({"count": 0}, "from 1 to"),
        ({"count": 10**9}, "from 1 to"),
        ({"count": "many"}, "from 1 to"),
        ({"count": 1, "paper": "papyrus"}, "a4 or letter"),
    ],
)
def test_a_roll_that_cannot_be_printed(phone, asked, what):
    assert what in assert_error(phone.client.post("/api/tags/roll", json=asked), 422, "invalid")


def test_the_label_as_a_page_is_as_large_as_the_label(phone):
    response = phone.client.get(f"/api/tags/{OTHER}/label.pdf?size=40x20&dpi=203")
    with contextlib.closing(pypdfium2.PdfDocument(response.data)) as document:
        width, height = document[0].get_size()
        (read,) = zxingcpp.read_barcodes(document[0].render(scale=203 / 72).to_pil())
    assert (width / 72 * 25.4, height / 72 * 25.4) == pytest.approx((40, 20), abs=0.1)
    assert read.text.endswith(f"/T/{OTHER}")


@pytest.mark.parametrize("host", ["https://shop_1.example", "https://" + "x" * 1200 + ".example"])
def test_an_address_that_no_label_can_hold(folder, host):
    for app in running(config_in(folder, public_url=host)):
        message = assert_error(new_phone(app).client.get(f"/api/tags/{CODE}/label.png"), 422, "no_label")
        assert "host name" in message
