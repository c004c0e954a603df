"""Tags by the camera, which here is a film of real labels, read by the library that serves phones without a reader."""

import re

import qrcode
from PIL import Image, ImageFilter
from playwright.sync_api import expect

from coiltrail.labels import draw

from .conftest import run
from .test_screens_accessibility import faults_of
from .worked_case import open_case, record, sign_in_here, tag_code, wait_until

READER = "/vendor/zxing-wasm/dist/reader/zxing_reader.wasm"


def on_bench(picture: Image.Image) -> Image.Image:
    """As a hand holds a phone over it: on a grey bench, aslant, a little out of focus."""
    bench = Image.new("RGB", (960, 720), (140, 140, 140))
    large = picture.convert("RGB").resize(
        (picture.width * 620 // picture.height, 620)
        if picture.width < picture.height
        else (620, picture.height * 620 // picture.width)
    )
    bench.paste(large, (170, (720 - large.height) // 2))
    return bench.rotate(17, Image.Resampling.BICUBIC, fillcolor=(140, 140, 140)).filter(ImageFilter.GaussianBlur(1.2))


def test_a_printed_tag_is_bound_and_found_by_the_camera_with_the_network_cut(films, shop, page):
    code = tag_code(page)
    label = draw(f"{shop.address.upper()}/T/{code}", f"{code[:4]}-{code[4:7]}-{code[7:]}", ["Demo shop"], 203, "50x25")
    phone = films([on_bench(label)])
    page = sign_in_here(phone)
    case = open_case(page)
    record(page, case, ("repair", {"work": "replaced", "place": "coil.2"}))
    page.goto("/#/tags")
    wait_until(page, "caches.match(arg).then(Boolean)", READER)
    phone.set_offline(True)
    page.get_by_role("button", name="Scan the square").click()
    page.locator(f'a[href*="{case}"]').click()
    expect(page.get_by_role("radio", name="The coil that came in at 2")).to_be_checked()
    page.get_by_role("button", name="Scan the square").click()
    expect(page.get_by_role("heading", level=1, name="Label")).to_be_visible()
    bound = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "tag_bound"]
    assert bound == [{"code": code, "part": f"{case}.coil.2"}]
    page.goto("/#/tags")
    page.get_by_role("button", name="Scan the square").click()
    expect(page.get_by_role("heading", level=1, name="The coil that came in at 2")).to_be_visible()


def test_squares_that_are_no_tag_of_this_shop_are_named_and_the_scan_goes_on(films, page):
    other = f"HTTPS://OTHER-GARAGE.EXAMPLE/T/{tag_code(page)}"
    phone = films([on_bench(qrcode.make(text).get_image()) for text in ("WIFI:S:Waiting room;;", other)])
    page = sign_in_here(phone)
    page.goto("/#/tags")
    # A phone that promises a reader of its own and has no service for it.
    page.evaluate("""() => {
        window.BarcodeDetector = class {
            static async getSupportedFormats() { return ['qr_code']; }
            async detect() { throw new DOMException('no service', 'NotSupportedError'); }
        };
    }""")
    page.get_by_role("button", name="Scan the square").click()
    said = page.locator(".viewfinder").get_by_role("status")
    expect(said).to_contain_text("This square is no tag")
    expect(said).to_contain_text("another shop, at other-garage.example")
    expect(said).to_contain_text("This square is no tag")
    assert faults_of(page) == []
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_role("button", name="Scan the square")).to_be_visible()


def test_without_a_camera_the_screen_says_what_to_do_instead(new_phone):
    page = sign_in_here(new_phone())
    page.goto("/#/tags")
    page.get_by_role("button", name="Scan the square").click()
    expect(page.get_by_text("This device has no camera.")).to_be_visible()
    expect(page.get_by_label("Code under the square")).to_be_visible()


def test_a_square_that_is_not_read_leads_to_the_code_in_clear_and_a_slip_in_it_is_caught(films, page):
    code = tag_code(page)
    phone = films([on_bench(Image.new("L", (300, 300), 255))])
    page = sign_in_here(phone)
    case = open_case(page)
    record(page, case, ("tag_bound", {"code": code, "part": f"{case}.coil.2"}))
    page.goto("/#/tags")
    page.get_by_role("button", name="Scan the square").click()
    page.get_by_role("button", name="Type the code").click()
    field = page.get_by_label("Code under the square", exact=True)
    expect(field).to_be_focused()
    expect(page.get_by_label("What the camera sees")).to_have_count(0)
    field.fill(code[:4] + ("0" if code[4] != "0" else "1") + code[5:])
    page.get_by_role("button", name="Find the part").click()
    expect(field).to_have_accessible_description(re.compile("One character is wrong or two are swapped"))
    field.fill(code.lower())
    page.get_by_role("button", name="Find the part").click()
    expect(page.get_by_role("heading", level=1, name="The coil that came in at 2")).to_be_visible()


def test_a_camera_taken_away_from_the_scan_leaves_the_code_to_be_typed(films):
    page = sign_in_here(films([on_bench(Image.new("L", (300, 300), 255))]))
    page.goto("/#/tags")
    page.get_by_role("button", name="Scan the square").click()
    expect(page.get_by_text("Hold the square of the tag inside the frame.")).to_be_visible()
    page.evaluate("""() => {
        const [track] = document.querySelector('video').srcObject.getVideoTracks();
        track.stop();
        track.dispatchEvent(new Event('ended'));
    }""")
    told = page.get_by_role("alert").filter(has_text="The camera was taken away, by a call or another application.")
    expect(told).to_contain_text("Type the code under the square meanwhile.")
    told.get_by_role("button", name="Scan again").click()
    expect(page.get_by_role("button", name="Scan the square")).to_be_visible()


def test_a_tag_that_was_struck_out_hangs_on_nothing_and_can_be_bound(page):
    page = sign_in_here(page.context)
    code, case = tag_code(page), open_case(page)
    (bound,) = record(page, case, ("tag_bound", {"code": code, "part": f"{case}.coil.2"}))
    record(page, case, ("struck", {"entry": bound["id"], "why": "The wrong part"}))
    page.goto("/#/tags")
    page.get_by_label("Code under the square", exact=True).fill(code)
    page.get_by_role("button", name="Find the part").click()
    expect(page.locator(f'a[href*="{case}"]')).to_be_visible()
    page.locator(f'a[href*="{case}"]').click()
    expect(page.get_by_role("heading", level=1, name="Tag", exact=True)).to_be_visible()
    expect(page.get_by_label("Code under the square", exact=True)).to_have_value(re.compile(code, re.IGNORECASE))
