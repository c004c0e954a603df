"""Recording on the phone: durable, in order, by several tabs, through lost connections and killed browsers."""

import contextlib
import os
import signal
import time
from pathlib import Path

import pytest
from playwright.sync_api import Error, expect

from .cases import CASE_OPENED, note
from .conftest import BENCH, CHROMIUM, PHONE, open_bench, refusal, run, sign_in

OPEN_CASE = """(async () => {
    const id = log.newCaseId();
    await log.record({case: id, kind: 'case_opened', body: arg});
    return id;
})()"""


def test_an_entry_is_completed_and_kept(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    (entry,) = run(signed_in, "log.entriesOf(arg)", case)
    who = run(signed_in, "session.me()")
    assert entry["body"] == CASE_OPENED
    assert (entry["case"], entry["n"], entry["when"]) == (case, 1, None)
    assert (entry["by"], entry["device"]) == (who["person"]["id"], who["device"])
    assert run(signed_in, "log.logOf(arg).then(({ onlyHere }) => [...onlyHere])", case) == [entry["id"]]


def test_the_list_of_cases_follows_the_entries(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    (line,) = run(signed_in, "log.caseList()")
    assert (line["title"], line["plate"], line["customer"]) == ("2011 Modell Sechs", "TEST 17", "Kim Sample")
    assert (line["status"], line["unsynced"]) == ("open", 1)
    closed = "log.record({case: arg, kind: 'case_closed', body: {cause: 'Coil 3'}})"
    closing = run(signed_in, closed, case)
    (line,) = run(signed_in, "log.caseList()")
    assert (line["status"], line["repaired"]) == ("closed", False)
    strike = "log.record({case: arg[0], kind: 'struck', body: {entry: arg[1], why: 'slip'}})"
    run(signed_in, strike, [case, closing["id"]])
    (line,) = run(signed_in, "log.caseList()")
    assert (line["status"], line["unsynced"]) == ("open", 3)
    repair = "log.record({case: arg[0], kind: 'repair', body: {work: 'replaced', place: 'coil.3'}, when: arg[1]})"
    for when, repaired in (({"before_arrival": 1}, False), (None, True)):
        run(signed_in, repair, [case, when])
        assert run(signed_in, "log.caseList()")[0]["repaired"] is repaired


def test_the_line_of_a_case_grows_to_what_all_its_entries_make_of_it(signed_in):
    """After an entry of any kind, and after it was struck."""
    lines = """(async () => {
        const rows = await database.read(['entries'], (tx) => tx.objectStore('entries').index('case').getAll(arg));
        const line = await database.read(['cases'], (tx) => tx.objectStore('cases').get(arg));
        return [line, summaries.summarise(arg, rows)];
    })()"""
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    bodies = {
        "case_opened": CASE_OPENED | {"vehicle": {"plate": "TEST 18"}},
        "complaint": {"symptoms": ["shakes"]},
        "codes_read": {"codes": []},
        "check": {"check": "drop", "cylinder": 3, "finding": "none"},
        "parts_moved": {"moves": [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]},
        "repair": {"work": "replaced", "place": "coil.3"},
        "road_test": {"minutes": 14, "felt": "none"},
        "note": {"text": "heard"},
        "case_closed": {"cause": "Coil 3"},
        "case_reopened": {"why": "It came back"},
    }
    for kind, body in bodies.items():
        record = "log.record({case: arg[0], kind: arg[1], body: arg[2]})"
        entry = run(signed_in, record, [case, kind, body])
        line, anew = run(signed_in, lines, case)
        assert line == anew, kind
        run(signed_in, record, [case, "struck", {"entry": entry["id"], "why": "slip"}])
        line, anew = run(signed_in, lines, case)
        assert line == anew, kind
    assert line["unsynced"] == 1 + 2 * len(bodies)


def test_a_bad_body_is_refused_with_field_and_remedy_and_nothing_is_saved(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    bad = "log.recordAll([{case: arg, kind: 'note', body: {text: 'good'}}, {case: arg, kind: 'note', body: {}}])"
    refused = refusal(signed_in, bad, case)
    assert refused["name"] == "Refused"
    assert refused["problems"] == [{"field": "1.text", "message": "Text: fill this in."}]
    assert len(run(signed_in, "log.entriesOf(arg)", case)) == 1


def test_nobody_signed_in_is_refused_with_the_remedy(page):
    refused = refusal(page, "log.record({case: log.newCaseId(), kind: 'note', body: {text: 'x'}})")
    assert refused["name"] == "Refused"
    assert "Sign in" in refused["message"]


def test_two_tabs_at_once_number_without_gap_and_in_order(signed_in, phone):
    tabs = [signed_in, open_bench(phone)]
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    begin = """Promise.resolve().then(() => { window.recording = Promise.all(Array.from({length: 20}, (_, i) =>
        log.record({case: arg[0], kind: 'note', body: {text: arg[1] + i}}))); })"""
    for index, tab in enumerate(tabs):
        run(tab, begin, [case, f"tab {index} "])
    for tab in tabs:
        tab.evaluate("async () => { await window.recording; }")
    entries = sorted(run(signed_in, "log.entriesOf(arg)", case), key=lambda entry: entry["n"])
    assert [entry["n"] for entry in entries] == list(range(1, 42))
    stamps = [entry["at"] for entry in entries]
    assert stamps == sorted(stamps) and len({tuple(stamp) for stamp in stamps}) == 41


def test_a_tab_hears_what_another_records(signed_in, phone):
    other = open_bench(phone)
    run(other, "Promise.resolve(log.onChange((change) => { document.title = change.cases[0]; }))")
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    expect(other).to_have_title(case)


def test_the_clock_never_runs_backwards(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    back_an_hour = """(async () => {
        const now = Date.now;
        Date.now = () => now() - 3600000;
        try { return await log.record({case: arg, kind: 'note', body: {text: 'clock set back'}}); }
        finally { Date.now = now; }
    })()"""
    later = run(signed_in, back_an_hour, case)
    first = run(signed_in, "log.entriesOf(arg)", case)[0]
    assert later["at"] > first["at"]


def test_a_lost_connection_is_opened_anew_and_the_entry_saved_once(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    lost = """(async () => {
        const transaction = IDBDatabase.prototype.transaction;
        let failures = 1;
        IDBDatabase.prototype.transaction = function (...given) {
            if (given[1] === 'readwrite' && failures-- > 0) {
                this.close();
                throw new DOMException('Connection to Indexed Database server lost.', 'UnknownError');
            }
            return transaction.apply(this, given);
        };
        try { return await log.record({case: arg, kind: 'note', body: {text: 'through'}}); }
        finally { IDBDatabase.prototype.transaction = transaction; }
    })()"""
    entry = run(signed_in, lost, case)
    assert entry["n"] == 2
    assert [one["id"] for one in run(signed_in, "log.entriesOf(arg)", case)].count(entry["id"]) == 1


def test_a_page_put_aside_by_the_browser_lets_go_of_its_stores_and_saves_when_it_comes_back(signed_in):
    """In WebKit a page that is left keeps its transactions, and every other page of the application waits for them."""
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    put_aside = """(async () => {
        const put = IDBObjectStore.prototype.put;
        const seen = [];
        IDBObjectStore.prototype.put = function (...given) {
            const asked = put.apply(this, given);
            if (!seen.length) {
                this.transaction.addEventListener('abort', () => seen.push('given up'));
                dispatchEvent(new PageTransitionEvent('pagehide', {persisted: true}));
                seen.push('left');
            }
            return asked;
        };
        try { await log.record({case: arg, kind: 'note', body: {text: 'on the way out'}}); }
        finally { IDBObjectStore.prototype.put = put; }
        return seen;
    })()"""
    assert run(signed_in, put_aside, case) == ["left", "given up"]
    assert [entry["body"] for entry in run(signed_in, "log.entriesOf(arg)", case)][1:] == [note("on the way out")]


def test_a_write_that_fails_twice_is_kept_in_memory_shown_and_saved_later(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    broken = """(async () => {
        const transaction = IDBDatabase.prototype.transaction;
        IDBDatabase.prototype.transaction = function (...given) {
            if (given[1] === 'readwrite') throw new DOMException('full', 'QuotaExceededError');
            return transaction.apply(this, given);
        };
        window.mend = () => { IDBDatabase.prototype.transaction = transaction; };
        return await log.record({case: arg, kind: 'note', body: {text: 'kept'}});
    })()"""
    refused = refusal(signed_in, broken, case)
    assert refused["name"] == "NotSaved" and "full" in refused["message"]
    shown = run(signed_in, "log.unsaved.value")
    assert [entry["body"] for entry in shown["entries"]] == [note("kept")]
    assert run(signed_in, "log.saveAgain()") is False
    signed_in.evaluate("() => window.mend()")
    assert run(signed_in, "log.saveAgain()") is True
    assert run(signed_in, "log.unsaved.value")["entries"] == []
    entries = run(signed_in, "log.entriesOf(arg)", case)
    assert [(entry["n"], entry["id"]) for entry in entries][1:] == [(2, shown["entries"][0]["id"])]


def test_a_page_of_a_newer_release_may_change_the_stores(signed_in, phone):
    """The open connection gives way instead of blocking; the old page then says what to do."""
    other = open_bench(phone)
    run(signed_in, "log.caseList()")
    newer = """new Promise((resolve, reject) => {
        const opening = indexedDB.open('coiltrail', 99);
        opening.onsuccess = () => { opening.result.close(); resolve(opening.result.version); };
        opening.onerror = () => reject(opening.error);
    })"""
    assert run(other, newer) == 99
    assert refusal(signed_in, "log.caseList()")["name"] == "VersionError"
    assert "newer release" in run(signed_in, "database.databaseTrouble.value")["message"]


@pytest.mark.parametrize("enough", [1, 20, 100])
def test_what_was_acknowledged_survives_a_killed_browser(playwright, shop, tmp_path, enough):
    def start():
        context = playwright.chromium.launch_persistent_context(
            tmp_path / "profile", base_url=shop.address, **CHROMIUM, **PHONE
        )
        return context

    context = start()
    page = context.pages[0]
    page.goto(BENCH)
    sign_in(page)
    case = run(page, OPEN_CASE, CASE_OPENED)
    acknowledged: list[str] = []
    page.expose_function("acknowledge", lambda entry: acknowledged.append(entry))
    run(
        page,
        """Promise.resolve().then(() => { void (async () => {
            for (let i = 0; ; i++) {
                const entry = await log.record({case: arg, kind: 'note', body: {text: `note ${i}`}});
                window.acknowledge(entry.id);
            }
        })(); })""",
        case,
    )
    while len(acknowledged) < enough:
        page.wait_for_timeout(10)
    kill(browser_processes(tmp_path / "profile"))
    with pytest.raises(Error, match=r"closed|crashed"):
        page.evaluate("() => new Promise(() => {})")  # ends with the browser
    context.close()
    for leftover in (tmp_path / "profile").glob("Singleton*"):
        leftover.unlink()

    context = start()
    page = context.pages[0]
    page.goto(BENCH)
    entries = run(page, "log.entriesOf(arg)", case)
    context.close()
    assert set(acknowledged) <= {entry["id"] for entry in entries}
    assert [entry["n"] for entry in entries] == list(range(1, len(entries) + 1))


def browser_processes(profile) -> list[int]:
    """The processes of the browser that was started on ``profile``, with all that they have begun, and of no other.

    A helper process that outlived the others would go on writing to the store while the next browser opens it, and that
    one would take it for damaged and begin anew. A phone ends an application with all of its processes.
    """
    found, parents = set(), {}
    for process in Path("/proc").glob("[0-9]*"):
        try:
            command = (process / "cmdline").read_bytes()
            parents[int(process.name)] = int((process / "stat").read_text().rpartition(")")[2].split()[1])
        except OSError:
            continue
        if f"--user-data-dir={profile}".encode() in command:
            found.add(int(process.name))
    while begun := {child for child, parent in parents.items() if parent in found} - found:
        found |= begun
    return sorted(found)


def kill(processes: list[int]) -> None:
    """End them at once, and wait until none runs any more."""
    for process in processes:
        with contextlib.suppress(ProcessLookupError):
            os.kill(process, signal.SIGKILL)
    while any(_runs(process) for process in processes):
        time.sleep(0.01)


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except OSError:
        return False
