"""A tag's code leads to the part it hangs on."""

import io

import pytest
import zxingcpp
from PIL import Image

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


@pytest.mark.parametrize("dpi", ["", "0", "72", "-203", "203.0", "many", "9" * 50])
def test_resolutions_that_no_printer_has(phone, dpi):
    assert "dpi" in assert_error(phone.client.get(f"/api/tags/{CODE}/label.png?dpi={dpi}"), 422, "no_label")


@pytest.mark.parametrize("host", ["https://shop_1.example", "https://" + "x" * 400 + ".example"])
def test_an_address_that_no_label_can_hold(folder, host):
    for app in running(config_in(folder, public_url=host)):
        assert_error(new_phone(app).client.get(f"/api/tags/{CODE}/label.png"), 422, "no_label")
