"""A link to a report shows that report and nothing else, to anybody, until it ends."""

import json
import re
import threading

import pytest

from coiltrail.core import measures
from coiltrail.store import report_links, throttle
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Audit, ReportLink
from tests.conftest import client_of
from tests.phone import ENGINE, jpeg, sha256

from .error_shape import assert_error


@pytest.fixture
def case(phone):
    """A case with a picture in its report and one that is not in it."""
    case = uuid7()
    look = phone.entry("check", {"check": "connector_look", "place": "coil.3", "finding": "oily"}, case=case)
    shown, other = jpeg(colour=(1, 2, 3)), jpeg(colour=(4, 5, 6))
    phone.shown, phone.other = sha256(shown), sha256(other)
    phone.sync(
        phone.case_opened(case, customer={"name": "Ada Invented"}),
        look,
        phone.entry("photo", {"sha256": phone.shown, "bytes": len(shown), "of": look["id"]}, case=case),
        phone.entry("photo", {"sha256": phone.other, "bytes": len(other)}, case=case),
    )
    for content in (shown, other):
        assert phone.upload(content).status_code == 204
    return case


def made(phone, case, days=7) -> tuple[dict, str]:
    answer = phone.client.post(f"/api/cases/{case}/report-links", json={"days": days})
    assert answer.status_code == 201, answer.text
    return answer.json, re.sub(r"^https?://[^/]+", "", answer.json["url"])


def test_a_stranger_reads_the_report_and_its_pictures(app, phone, case):
    _, address = made(phone, case)
    stranger = client_of(app)
    page = stranger.get(address)
    assert page.status_code == 200
    assert "Ada Invented" in page.text and "Oil in the well" not in page.text
    assert f"{address}/photos/{phone.shown}" in page.text and phone.other not in page.text
    assert page.headers["Cache-Control"] == "no-store"
    assert "noindex" in page.headers["X-Robots-Tag"] and 'name="robots" content="noindex' in page.text
    assert page.headers["Referrer-Policy"] == "no-referrer"
    policy = page.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy and "script-src" not in policy and "unsafe" not in policy
    assert "<script" not in page.text and "style=" not in page.text
    assert stranger.get(f"{address}/photos/{phone.shown}").data == jpeg(colour=(1, 2, 3))


def test_quantities_stand_in_the_units_that_the_link_was_made_with(app, phone):
    case = uuid7()
    odometer = {"si": 160934400.0, "typed": "100000", "unit": "mi"}
    phone.sync(phone.case_opened(case, odometer=odometer))
    pages = {}
    for units in ({"distance": "km"}, {}, {"distance": "furlong"}):
        answer = phone.client.post(f"/api/cases/{case}/report-links", json={"days": 7, "units": units})
        assert answer.status_code == 201, answer.text
        address = re.sub(r"^https?://[^/]+", "", answer.json["url"])
        pages[units.get("distance")] = client_of(app).get(address).text.replace("\u00a0", " ")
    assert "160,934 km" in pages["km"] and "100,000 mi" not in pages["km"]
    for typed in (None, "furlong"):
        assert "100,000 mi" in pages[typed], typed


@pytest.mark.parametrize(("language", "day"), [("en", "May 28, 2026"), ("es-MX", "28 de mayo de 2026")])
def test_the_day_stands_in_full_words_of_the_language_it_was_made_in(app, phone, language, day):
    case = uuid7()
    opened = {"vehicle": {"plate": "XX-000"}, "engine": ENGINE}
    phone.sync(phone.entry("case_opened", opened, case=case, at=[1_780_000_000_000, 0]))
    address = f"/api/cases/{case}/report-links"
    answer = phone.client.post(address, json={"days": 7}, headers={"Accept-Language": language})
    page = client_of(app).get(re.sub(r"^https?://[^/]+", "", answer.json["url"]))
    assert day in page.text


def test_two_threads_answer_each_in_its_own_units():
    """A thousand answers of either, taken in turn in the middle of one another."""
    quantity = {"si": 160934400.0, "typed": "100000", "unit": "mi"}
    turns, told = threading.Barrier(2), {"km": set(), "mi": set()}

    def ask(unit: str) -> None:
        for _ in range(1000):
            measures.choose({"distance": unit})
            turns.wait()
            told[unit].add(measures.show(quantity).replace("\u00a0", " "))
            turns.wait()

    threads = [threading.Thread(target=ask, args=[unit]) for unit in told]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert told == {"km": {"160,934 km"}, "mi": {"100,000 mi"}}


def test_marks_lie_over_the_pictures_that_it_shows(app, phone, case):
    photos = phone.client.get(f"/api/cases/{case}/entries").json["entries"]
    ids = {entry["body"]["sha256"]: entry["id"] for entry in photos if entry["kind"] == "photo"}
    circle = {"sort": "circle", "x": 0.2, "y": 0.2, "to_x": 0.6, "to_y": 0.4}
    words = {"sort": "words", "x": 0.1, "y": 0.9, "text": "Oil <here>"}
    phone.sync(
        phone.entry("marked", {"of": ids[phone.shown]} | circle, case=case),
        phone.entry("marked", {"of": ids[phone.shown]} | words, case=case),
        phone.entry("marked", {"of": ids[phone.other]} | words | {"text": "Not shown"}, case=case),
    )
    page = client_of(app).get(made(phone, case)[1]).text
    assert '<ellipse cx="400.0" cy="225.0" rx="200.0" ry="75.0" class="mark-line"/>' in page  # of 1000 by 750
    assert ">Oil &lt;here&gt;</text>" in page and "Circle, Oil &lt;here&gt;" in page
    assert "Not shown" not in page and "style=" not in page


def test_it_opens_nothing_else(app, phone, case):
    _, address = made(phone, case)
    stranger = client_of(app)
    assert stranger.get(f"{address}/photos/{phone.other}").status_code == 404
    assert stranger.get(f"/api/photos/{phone.shown}").status_code == 401
    assert stranger.get(f"/api/cases/{case}/report-links").status_code == 401


def test_it_stays_as_it_was_when_it_was_made(app, phone, case):
    _, address = made(phone, case)
    phone.sync(phone.entry("note", {"text": "x"}, case=case), phone.entry("codes_cleared", {}, case=case))
    assert "We cleared the fault memory" not in client_of(app).get(address).text
    _, later = made(phone, case)
    assert "We cleared the fault memory" in client_of(app).get(later).text


def test_a_case_closed_without_a_repair_says_so_above_all_else(app, phone, case):
    left = [{"what": "unrepaired", "why": "declined", "told": True}]
    phone.sync(phone.entry("case_closed", {"cause": "Compression", "later": left}, case=case))
    _, address = made(phone, case)
    page = client_of(app).get(address).text
    assert page.index("Nothing was repaired: you decided against it.") < page.index("What is wrong")
    assert "What is left to be done" in page and "apart from this repair" not in page


def test_a_withdrawn_link_says_so_and_whom_to_ask(app, phone, case):
    link, address = made(phone, case)
    assert phone.client.delete(f"/api/report-links/{link['id']}").status_code == 204
    assert phone.client.delete(f"/api/report-links/{link['id']}").status_code == 204
    page = client_of(app).get(address)
    assert page.status_code == 410
    assert "withdrawn" in page.text and "555-0134" in page.text and "Ada Invented" not in page.text
    assert client_of(app).get(f"{address}/photos/{phone.shown}").status_code == 410
    [told] = phone.client.get(f"/api/cases/{case}/report-links").json["links"]
    assert told["withdrawn_ms"] and told["made_by"] == "Ada"
    with app.app_context():
        assert db.session.scalars(db.select(ReportLink.content)).all() == [None]
        deeds = set(db.session.scalars(db.select(Audit.deed)))
    assert {"report_link_made", "report_link_withdrawn"} <= deeds


def test_a_link_past_its_time_says_so(app, phone, case, monkeypatch):
    _, address = made(phone, case, days=7)
    now = report_links.now_ms()
    monkeypatch.setattr(report_links, "now_ms", lambda: now + 8 * report_links.DAY_MS)
    page = client_of(app).get(address)
    assert page.status_code == 410 and "ended" in page.text and "555-0134" in page.text


def test_an_erasure_ends_every_link_of_its_case(app, phone, case):
    _, address = made(phone, case)
    opened = next(e for e in phone_log(phone, case) if e["kind"] == "case_opened")
    phone.sync(phone.entry("erased", {"entries": [opened["id"]]}, case=case))
    assert client_of(app).get(address).status_code == 410


def test_guessing_is_slowed_down_and_answered_alike(app, phone, case):
    _, address = made(phone, case)
    stranger = client_of(app)
    answers = {stranger.get(f"/r/guess{n}").text for n in range(throttle.FREE_FOR_ADDRESS)}
    assert len(answers) == 1 and "leads to no report" in answers.pop()
    slowed = stranger.get("/r/another")
    assert slowed.status_code == 429 and int(slowed.headers["Retry-After"]) > 0
    assert stranger.get(address).status_code == 429  # right or wrong
    assert phone.sync()["accepted"] == []  # who works here is not held up


@pytest.mark.parametrize("days", [0, 91, 7.5, "7", None])
def test_days_that_cannot_be_are_named(phone, case, days):
    assert_error(phone.client.post(f"/api/cases/{case}/report-links", json={"days": days}), 422, "invalid", "days")


def test_a_case_or_link_the_shop_does_not_have(phone):
    answer = phone.client.post(f"/api/cases/{uuid7()}/report-links", json={"days": 7})
    assert_error(answer, 404, "not_found")
    assert_error(phone.client.delete(f"/api/report-links/{uuid7()}"), 404, "not_found")
    lone = phone.entry()
    phone.sync(lone)
    assert_error(phone.client.post(f"/api/cases/{lone['case']}/report-links", json={"days": 7}), 409, "no_report")


def phone_log(phone, case) -> list[dict]:
    return [json.loads(line) for line in phone.client.get(f"/api/cases/{case}/log.jsonl").text.splitlines()]


def test_the_report_speaks_the_language_it_was_made_in_whoever_opens_it(app, phone, case):
    answer = phone.client.post(
        f"/api/cases/{case}/report-links", json={"days": 7}, headers={"Accept-Language": "es-MX,es;q=0.9"}
    )
    address = re.sub(r"^https?://[^/]+", "", answer.json["url"])
    page = client_of(app).get(address, headers={"Accept-Language": "en"}).text
    assert '<html lang="es">' in page and "Cilindro 3: aceite dentro." in page
    assert "Cómo lo encontramos" in page and "What was" not in page


def test_who_comes_too_late_is_told_so_in_their_language(app):
    page = client_of(app).get("/r/never", headers={"Accept-Language": "es"}).text
    assert '<html lang="es">' in page and "Esta dirección no lleva a ningún informe." in page


def test_the_shop_is_called_by_a_tap_on_its_number(app, phone, case):
    page = client_of(app).get(made(phone, case)[1]).text
    assert 'href="tel:555-0134">555-0134</a>' in page
