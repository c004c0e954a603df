"""What another application shares with this one, posted as the platform does it for an installed application."""

import base64

import pytest
from playwright.sync_api import expect

from .conftest import run
from .pictures import camera_jpeg
from .test_screens_accessibility import faults_of
from .worked_case import open_case, sign_in_here, wait_until

POST = """({fields, files}) => {
    const form = document.createElement('form');
    Object.assign(form, {method: 'POST', action: '/share', enctype: 'multipart/form-data'});
    for (const [name, value] of Object.entries(fields)) {
        form.append(Object.assign(document.createElement('textarea'), {name, value}));
    }
    const chosen = new DataTransfer();
    for (const {name, type, base64} of files) {
        chosen.items.add(new File([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], name, {type}));
    }
    const input = Object.assign(document.createElement('input'), {type: 'file', name: 'files', multiple: true});
    input.files = chosen.files;
    form.append(input);
    document.body.append(form);
    form.submit();
}"""


@pytest.fixture
def page(new_phone, own_shop):
    """A phone whose shop has no case but its own: which are open decides what is asked."""
    page = sign_in_here(new_phone(own_shop))
    page.goto("/")
    wait_until(page, "Promise.resolve(Boolean(navigator.serviceWorker.controller))")
    page.context.set_offline(True)
    return page


def share(page, files=(), **fields) -> None:
    shared = [{"name": name, "type": type_, "base64": base64.b64encode(body).decode()} for name, type_, body in files]
    page.evaluate(POST, {"fields": fields, "files": shared})


def kept(page, case, kind):
    return [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == kind]


def test_a_text_lands_in_the_only_open_case_without_a_connection(page):
    case = open_case(page)
    share(page, title="A scan", text="P0303 cylinder 3 misfire\nsomething else")
    expect(page.get_by_role("heading", level=1, name="Codes")).to_be_visible()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_text("Saved on this device")).to_be_visible()
    (read,) = kept(page, case, "codes_read")
    assert read["body"]["codes"] == [{"code": "P0303", "status": "stored"}]
    assert read["body"]["obtained"] == "pasted"
    assert "something else" in read["body"]["raw"]
    page.goto("/#/")
    expect(page.get_by_role("link", name="New case")).to_be_visible()
    expect(page.get_by_text("Shared, and in no case yet")).to_be_hidden()


def test_with_several_cases_one_tap_chooses_and_a_picture_is_kept_beside_the_codes(page):
    other, latest = open_case(page), open_case(page)
    page.goto(f"/#/case/{latest}")
    expect(page.get_by_role("navigation", name="Record", exact=True)).to_be_visible()
    share(page, [("slip.jpg", "image/jpeg", camera_jpeg(600, 400, 6))], text="P0301")
    expect(page.get_by_role("status").filter(has_text="1 code: P0301")).to_be_visible()
    choices = page.locator(".screen-main").get_by_role("button").filter(has_text="Zedex")
    expect(choices).to_have_count(2)
    expect(choices.first).to_have_text(f"Into 2011 Zedex Four, TEST {latest[-8:]}")
    choices.last.click()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_text("Saved on this device")).to_be_visible()
    (read,), (photo,) = kept(page, other, "codes_read"), kept(page, other, "photo")
    assert photo["body"]["shows"] == "codes"
    assert photo["body"]["of"] == read["id"]
    expect(page.locator(".story-row", has_text="P0301").get_by_role("img")).to_be_visible()


def test_what_cannot_be_used_is_named_with_what_to_do_instead(page):
    case = open_case(page)
    files = [("book.pdf", "application/pdf", b"%PDF-1.7"), ("torn.jpg", "image/jpeg", b"\xff\xd8\xff\xe0 torn")]
    share(page, files, text="no code in here " * 65_536)
    expect(page.get_by_text("No code was found in this text.")).to_be_visible()
    expect(page.get_by_text("The text is very long: only its beginning is kept.")).to_be_visible()
    expect(page.get_by_text("book.pdf: It is neither a picture nor a text.")).to_be_visible()
    assert faults_of(page) == []
    page.get_by_role("button", name="Into 2011 Zedex Four").click()
    expect(page.get_by_text("torn.jpg: This")).to_be_visible()
    page.get_by_role("button", name="Go on without them").click()
    expect(page.get_by_role("heading", level=1, name="Codes")).to_be_visible()
    expect(page.get_by_label("Text from a reader or a message")).to_have_value("no code in here " * 6_250)
    page.get_by_label("Everything was read").or_(page.get_by_role("checkbox")).first.check()
    page.get_by_role("button", name="Keep: no codes").click()
    expect(page.get_by_text("Saved on this device")).to_be_visible()
    (read,) = kept(page, case, "codes_read")
    assert len(read["body"]["raw"]) > 10_000


def test_without_an_open_case_it_waits_and_goes_into_the_first_one_with_what_no_letter_is(page):
    share(page, [("log.txt", "text/plain", b"P0304 \0\xff\xfe\x01 rubbish \xed\xa0\x80")])
    expect(page.get_by_role("status").filter(has_text="1 code: P0304")).to_be_visible()
    expect(page.get_by_text("No case is open on this device")).to_be_visible()
    expect(page.get_by_text("It waits here until there is one.")).to_be_visible()
    page.goto("/#/")
    page.get_by_text("Shared, and in no case yet").first.wait_for()
    waiting = run(page, "shared.sharedWaiting()")
    case = open_case(page)
    page.goto(f"/#/shared/{waiting[0]}")
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_text("Saved on this device")).to_be_visible()
    (read,) = kept(page, case, "codes_read")
    assert [code["code"] for code in read["body"]["codes"]] == ["P0304"] and "rubbish" in read["body"]["raw"]
    assert run(page, "shared.sharedWaiting()") == []


def test_a_megabyte_without_a_code_and_without_a_case_waits_too(page):
    share(page, text="no code in here " * 65_536)
    expect(page.get_by_text("No code was found in this text.")).to_be_visible()
    expect(page.get_by_text("The text is very long: only its beginning is kept.")).to_be_visible()
    expect(page.get_by_role("link", name="New case")).to_be_visible()
    page.reload()
    expect(page.get_by_text("No code was found in this text.")).to_be_visible()


def test_a_full_phone_keeps_what_was_shared_until_there_is_room_for_the_form(page):
    case, _ = open_case(page), open_case(page)
    share(page, text="P0302")
    choices = page.locator(".screen-main").get_by_role("button").filter(has_text="Zedex")
    expect(choices).to_have_count(2)
    page.evaluate("""() => {
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (...given) {
            if (this.name === 'drafts') throw new DOMException('no room', 'QuotaExceededError');
            return put.apply(this, given);
        };
        window.makeRoom = () => { IDBObjectStore.prototype.put = put; };
    }""")
    choices.filter(has_text=f"TEST {case[-8:]}").click()
    expect(page.get_by_text("It waits here: free some space, then choose the case again.")).to_be_visible()
    page.evaluate("() => window.makeRoom()")
    choices.filter(has_text=f"TEST {case[-8:]}").click()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_text("Saved on this device")).to_be_visible()
    assert len(kept(page, case, "codes_read")) == 1
