"""One phone whose browser is killed again and again while it records, photographs and exchanges."""

import random
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import BrowserContext, Error, Page

from .cases import CASE_OPENED
from .conftest import BENCH, CHROMIUM, PHONE, run, sign_in
from .pictures import noise_jpeg
from .test_field_log import OPEN_CASE, browser_processes, kill
from .test_field_photos import FILE, as_file
from .test_field_sync import ids, log_in_shop, set_aside_in, sync

KILLS = 20
SEED = 20251126
MOST_RECORDED = 40  # between two kills

# Every third entry is a photo. What the screen may call saved is told at once.
RECORD_WITHOUT_END = f"""Promise.resolve().then(() => {{ void (async () => {{
    for (let i = 0; ; i++) {{
        let draft = {{kind: 'note', body: {{text: `note ${{i}}`}}}};
        if (i % 3 === 2) {{
            const {{mime, ...about}} = await photos.takeIn({FILE});
            draft = {{kind: 'photo', body: {{...about, shows: 'coil', caption: `photo ${{i}}`}}}};
        }}
        const entry = await log.record({{case: arg[3], ...draft}});
        window.acknowledge(entry.id);
    }}
}})(); }})"""
# What is in the shop is told after each of its answers: an exchange goes on for as long as there is more.
EXCHANGE_WITHOUT_END = """Promise.resolve().then(() => {
    const told = new Set();
    log.onChange(async ({recorded}) => {
        if (recorded) return;
        const { entries, onlyHere } = await log.logOf(arg);
        const settled = entries.map(({id}) => id).filter((id) => !onlyHere.has(id) && !told.has(id));
        for (const id of settled) told.add(id);
        window.settle(settled);
    });
    void (async () => { for (;;) await sync.syncNow(); })();
})"""


@dataclass
class Screen:
    """What the screen has said: ids called saved, and ids called in the shop; and what failed behind it."""

    acknowledged: set[str] = field(default_factory=set)
    settled: set[str] = field(default_factory=set)
    errors: list[str] = field(default_factory=list)


def test_nothing_that_was_called_safe_is_lost_by_many_kills(playwright, own_shop, tmp_path):
    chance = random.Random(SEED)
    profile = tmp_path / "profile"
    screen = Screen()
    case = None
    for number in range(KILLS):
        phone, page = start(playwright, own_shop, profile, screen)
        case = case or run(page, OPEN_CASE, CASE_OPENED)
        check(page, case, screen.acknowledged)
        enough = len(screen.acknowledged) + chance.randint(0, MOST_RECORDED)
        enough_settled = len(screen.settled) + number % 2
        if number % 2:
            run(page, EXCHANGE_WITHOUT_END, case)
        run(page, RECORD_WITHOUT_END, [*as_file(noise_jpeg(200 + number, 150)), case])
        while len(screen.acknowledged) < enough or len(screen.settled) < enough_settled:
            assert screen.errors == []
            page.wait_for_timeout(5)
        page.wait_for_timeout(chance.uniform(0, 30))
        kill_browser(phone, page, profile)
    phone, page = start(playwright, own_shop, profile, screen)
    entries = check(page, case, screen.acknowledged)
    assert len(screen.acknowledged) > KILLS * MOST_RECORDED / 4

    whole, state = sync(page)
    assert whole is True and set_aside_in(case, state) == []
    in_shop = log_in_shop(page, case)
    assert sorted(in_shop, key=lambda entry: entry["n"]) == sorted(entries, key=lambda entry: entry["n"])
    assert screen.settled <= set(ids(in_shop))
    named = sorted({entry["body"]["sha256"] for entry in in_shop if entry["kind"] == "photo"})
    heads = "Promise.all(arg.map((name) => fetch(`/api/photos/${name}`).then((answer) => answer.status)))"
    assert run(page, heads, named) == [200] * len(named)
    phone.close()


def check(page: Page, case: str, acknowledged: set[str]) -> list[dict]:
    """Every entry that was called saved is there, each once, numbered without a gap; the case's entries."""
    entries = run(page, "log.entriesOf(arg)", case)
    assert acknowledged <= set(ids(entries))
    assert sorted(entry["n"] for entry in entries) == list(range(1, len(entries) + 1))
    assert len({entry["device"] for entry in entries}) == 1
    # An entry stands only with the photo that it names.
    photos = set(run(page, "database.read(['photos'], (tx) => tx.objectStore('photos').getAllKeys())"))
    assert {entry["body"]["sha256"] for entry in entries if entry["kind"] == "photo"} <= photos
    return entries


def start(playwright, shop, profile, screen: Screen) -> tuple[BrowserContext, Page]:
    phone = playwright.chromium.launch_persistent_context(profile, base_url=shop.address, **CHROMIUM, **PHONE)
    page = phone.pages[0]
    page.expose_function("acknowledge", lambda entry: screen.acknowledged.add(entry))
    page.expose_function("settle", lambda entries: screen.settled.update(entries))
    page.on("pageerror", lambda error: screen.errors.append(str(error)))
    page.goto(BENCH)
    sign_in(page)  # the cookie need not have reached the disk
    return phone, page


def kill_browser(phone: BrowserContext, page: Page, profile) -> None:
    kill(browser_processes(profile))
    with pytest.raises(Error, match=r"closed|crashed"):
        page.evaluate("() => new Promise(() => {})")  # ends with the browser
    phone.close()
    for leftover in profile.glob("Singleton*"):
        leftover.unlink()
