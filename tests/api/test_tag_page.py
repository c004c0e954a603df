"""What the address on a tag shows to whom."""

import base64
import hashlib
import re

import pytest
from sqlalchemy import event

from coiltrail.api import tag_page
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from tests.conftest import client_of

from .test_tags import CODE, OTHER, bound


@pytest.fixture
def tagged(phone):
    case = uuid7()
    phone.sync(
        phone.case_opened(case, customer={"name": "Somebody Secret"}),
        bound(phone, case),
    )
    return case


@pytest.mark.parametrize("address", [f"/t/{CODE}", f"/T/{CODE}", f"/t/{CODE.lower()}"])
def test_somebody_signed_in_gets_the_application(phone, tagged, address):
    response = phone.client.get(address)
    assert response.data == phone.client.get("/").data
    assert "Cookie" in response.headers["Vary"]


def test_a_stranger_learns_the_shop_and_nothing_else(stranger, tagged):
    text = stranger.get(f"/T/{CODE}").text
    assert "Driveway Motors" in text and "555-0134" in text
    assert "Secret" not in text and tagged not in text and "coil" not in text.lower()


def test_a_stranger_cannot_tell_whether_a_tag_exists(stranger, tagged):
    known, unknown = stranger.get(f"/t/{CODE}"), stranger.get(f"/t/{OTHER}")
    assert known.text.replace(CODE, OTHER) == unknown.text
    assert known.status_code == unknown.status_code == 200
    ignored = {"Date", "Content-Length"}
    assert {k: v for k, v in known.headers.items() if k not in ignored} == {
        k: v for k, v in unknown.headers.items() if k not in ignored
    }


def test_a_mechanic_gets_a_way_to_sign_in(stranger, tagged):
    assert f'<a href="/?tag={CODE}">' in stranger.get(f"/t/{CODE.lower()}").text


@pytest.mark.parametrize("code", ["<script>alert(1)</script>", "xyz", "%22onclick=1", "\u202e", "0" * 500])
def test_what_is_no_code_is_not_repeated(stranger, code):
    response = stranger.get(f"/t/{code}")
    assert response.status_code in (200, 404)  # a code with a slash is no code
    assert code not in response.text and "alert" not in response.text
    assert "?tag=" not in response.text


def test_the_page_may_do_nothing_but_show_its_own_style(stranger, tagged):
    response = stranger.get(f"/t/{CODE}")
    policy = response.headers["Content-Security-Policy"]
    (style,) = re.findall("<style>(.*?)</style>", response.text, re.DOTALL)
    allowed = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy.startswith(f"default-src 'none'; style-src 'sha256-{allowed}'")
    assert response.headers["Cache-Control"] == "no-store"


def test_before_there_is_a_shop_the_page_says_no_more(empty_app):
    text = client_of(empty_app).get(f"/t/{CODE}").text
    assert "This part belongs to a repair" in text and "tel:" not in text


def statements_of(app, ask):
    """What is asked of the database meanwhile."""
    said = []
    with app.app_context():
        engine = db.engine

    def note(_connection, _cursor, statement, *_):
        said.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    try:
        ask()
    finally:
        event.remove(engine, "before_cursor_execute", note)
    return said


def test_the_same_is_done_for_a_tag_that_exists_and_for_one_that_does_not(app, stranger, tagged):
    known = statements_of(app, lambda: stranger.get(f"/t/{CODE}"))
    unknown = statements_of(app, lambda: stranger.get(f"/t/{OTHER}"))
    assert known == unknown and known
    assert not any(re.search(r"\btag\b|\bentry\b", statement) for statement in known)


def test_a_stranger_who_tries_many_codes_is_slowed_down_alike_for_all(app, stranger, phone, tagged):
    seconds = [0.0]
    app.extensions["coiltrail.strangers"].clock = lambda: seconds[0]
    for _ in range(tag_page.AT_ONCE):
        assert stranger.get(f"/t/{OTHER}").status_code == 200
    known, unknown = stranger.get(f"/t/{CODE}"), stranger.get(f"/t/{OTHER}")
    assert (known.status_code, known.data, known.headers["Retry-After"]) == (429, unknown.data, "10")
    assert unknown.status_code == 429
    assert "555-0134" in known.text  # who found a part still learns whom to call
    assert CODE not in known.text
    assert phone.client.get(f"/t/{CODE}").status_code == 200
    elsewhere = stranger.get(f"/t/{CODE}", environ_base={"REMOTE_ADDR": "198.51.100.4"})
    assert elsewhere.status_code == 200
    seconds[0] = tag_page.THEN_EVERY_S
    assert stranger.get(f"/t/{CODE}").status_code == 200
    assert stranger.get(f"/t/{CODE}").status_code == 429


def test_a_stranger_reads_their_own_language(stranger, tagged):
    answer = stranger.get(f"/T/{CODE}", headers={"Accept-Language": "es-AR,en;q=0.5"})
    assert (
        '<html lang="es">' in answer.text and "Esta pieza pertenece a una reparación de Driveway Motors" in answer.text
    )
    assert "Accept-Language" in answer.headers["Vary"]
    assert '<html lang="en">' in stranger.get(f"/T/{CODE}", headers={"Accept-Language": "fr"}).text
