"""The phone's database as JSON: every version that was ever released is kept in ``stored``, with data in every store.

``python -m tests.browser.phone_database`` writes the file of the present version; run it before a new step is added to
``pwa/field/database.js``, and never again for that version.
"""

import json
import sys
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from .cases import CASE_OPENED
from .conftest import CHROMIUM, PHONE, open_bench, run, sign_in
from .pictures import noise_jpeg
from .serving import Shop
from .test_field_log import OPEN_CASE
from .test_field_photos import as_file
from .test_field_sync import PHOTO_ENTRY, RECORD_NOTES, sync

STORED = Path(__file__).with_name("stored")

# What JSON lacks is written as {"$bytes": base64}.
TO_JSON = """(db) => {
    const plain = (value) => JSON.parse(JSON.stringify(value, (_, inner) => inner instanceof ArrayBuffer
        ? {$bytes: btoa(String.fromCharCode(...new Uint8Array(inner)))} : inner));
    const done = (request) => new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
    });
    return Promise.all([...db.objectStoreNames].map(async (name) => {
        const store = db.transaction(name).objectStore(name);
        const indexes = [...store.indexNames].map((index) => [index, store.index(index).keyPath]);
        const [keys, rows] = await Promise.all([done(store.getAllKeys()), done(store.getAll())]);
        return {name, keyPath: store.keyPath, indexes, keys: plain(keys), rows: plain(rows)};
    }));
}"""
DUMP = f"""async () => {{
    const db = await new Promise((resolve) => {{
        const opening = indexedDB.open('coiltrail');
        opening.onsuccess = () => resolve(opening.result);
    }});
    const stores = await ({TO_JSON})(db);
    db.close();
    return {{version: db.version, stores}};
}}"""
PUT = """({version, stores}) => new Promise((resolve, reject) => {
    const live = (value) => JSON.parse(JSON.stringify(value), (_, inner) => inner?.$bytes
        ? Uint8Array.from(atob(inner.$bytes), (letter) => letter.charCodeAt(0)).buffer : inner);
    const opening = indexedDB.open('coiltrail', version);
    opening.onupgradeneeded = () => {
        for (const {name, keyPath, indexes, keys, rows} of stores) {
            const store = opening.result.createObjectStore(name, keyPath === null ? {} : {keyPath});
            for (const [index, path] of indexes) store.createIndex(index, path);
            rows.forEach((row, i) => store.put(live(row), keyPath === null ? keys[i] : undefined));
        }
    };
    opening.onsuccess = () => { opening.result.close(); resolve(); };
    opening.onerror = () => reject(opening.error);
})"""
WORK_IN_HAND = """Promise.all([
    drafts.keep('form/somewhere/note', {text: 'half typed'}),
    drafts.expectPhoto({case: arg, about: {shows: 'coil'}, screen: '#/'}),
])"""


def dump(page: Page) -> dict[str, Any]:
    """Version, stores and everything in them."""
    return page.evaluate(DUMP)


def put(page: Page, dumped: dict[str, Any]) -> None:
    """Make the database what was dumped, on a phone that has none yet."""
    page.evaluate(PUT, dumped)


def worked_with(page: Page) -> None:
    """Something in every store: in the shop and not, photos of both sorts, one entry set aside, forms half filled."""
    sign_in(page)
    case = run(page, OPEN_CASE, CASE_OPENED)
    run(page, "log.record({case: arg, kind: 'check', body: {check: 'voltage'}})", case)  # the shop sets it aside
    run(page, PHOTO_ENTRY, [*as_file(noise_jpeg(40, 30)), case])
    sync(page)
    run(page, RECORD_NOTES, [case, 2])
    run(page, PHOTO_ENTRY, [*as_file(noise_jpeg(44, 33)), case])
    run(page, WORK_IN_HAND, case)


def main() -> int:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shop = Shop(Path(folder) / "shop")
        shop.start()
        try:
            phone = playwright.chromium.launch(**CHROMIUM).new_context(base_url=shop.address, **PHONE)
            page = open_bench(phone)
            worked_with(page)
            dumped = dump(page)
        finally:
            shop.stop()
    file = STORED / f"phone-{dumped['version']}.json"
    if file.exists():
        print(f"{file} is there: what was released is not written anew.", file=sys.stderr)
        return 1
    STORED.mkdir(exist_ok=True)
    file.write_text(json.dumps(dumped, indent=1) + "\n", encoding="utf-8")
    print(file)
    return 0


if __name__ == "__main__":
    sys.exit(main())
