"""Two people move the same coil without knowing of each other: both phones ask, and the answer of one is an entry."""

import re

from playwright.sync_api import Locator, Page, expect

from .conftest import run
from .test_field_sync import log_in_shop, sync
from .worked_case import open_case, sign_in_here

VIEW = "log.entriesOf(arg).then((entries) => core.ask('view', {entries}))"


def question_on(page: Page) -> Locator:
    return page.get_by_role("group", name=re.compile("do not agree on where parts were"))


def swap(page: Page, case: str, one: str, other: str) -> None:
    moves = [
        {"part": f"{case}.{one}", "from": one, "to": other},
        {"part": f"{case}.{other}", "from": other, "to": one},
    ]
    run(page, "log.record({case: arg[0], kind: 'parts_moved', body: {moves: arg[1]}})", [case, moves])


def test_conflicting_moves_are_asked_about_on_both_phones_and_one_answer_settles_both(new_phone):
    one, other = sign_in_here(new_phone()), sign_in_here(new_phone())
    case = open_case(one)
    for page in (one, other):
        assert sync(page)[0] is True
    # Nothing exchanges by itself here: neither hears of the other's.
    swap(one, case, "coil.1", "coil.2")
    swap(other, case, "coil.1", "coil.3")
    for page in (one, other):
        assert run(page, VIEW, case)["questions"] == []  # each by itself is plain
    for page in (one, other, one):
        assert sync(page)[0] is True
        page.goto(f"/#/case/{case}")
    for page in (one, other):
        expect(question_on(page)).to_be_visible()
    before = run(one, VIEW, case)
    assert before == run(other, VIEW, case)

    (asked,) = [question for question in before["questions"] if question["id"].startswith("stands/")]
    leave = next(choice for choice in asked["choices"] if choice["value"] == "leave")
    question_on(other).get_by_role("button", name=re.compile(re.escape(leave["label"]), re.IGNORECASE)).click()
    expect(question_on(other)).to_be_hidden()
    for page in (other, one):
        assert sync(page)[0] is True
    expect(question_on(one)).to_be_hidden()

    (answer,) = [entry for entry in log_in_shop(one, case) if entry["kind"] == "answered"]
    assert answer["body"] == {"question": asked["id"], "answer": "leave"}
    assert answer in run(one, "log.entriesOf(arg)", case)
    after = run(one, VIEW, case)
    assert after == run(other, VIEW, case)
    assert after["questions"] == []
