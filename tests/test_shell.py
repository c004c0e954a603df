"""What the phone downloads: complete, checked by hash, and nothing else."""

import gzip
import hashlib
import json
import os
import re
import subprocess

import brotli
import pytest

from coiltrail import bytecode, languages, shell
from coiltrail.config import PWA
from coiltrail.core import entries

from .api.error_shape import assert_error
from .conftest import client_of, config_in, running


@pytest.fixture
def pwa(tmp_path):
    """A small application of our own."""
    for name, text in {
        "index.html": "<!doctype html>",
        "sw.js": "worker;",
        "app/main.js": "main = " + "x" * 500,
        "app/screens/one.js": "one;",
        "app/.hidden/secret.js": "secret",
        "field/log.js": "log;",
        "node_modules/idb/build/index.js": "// idb",
        "node_modules/idb/package.json": "{}",
        "node_modules/zxing-wasm/dist/es/share.js": "// of the reader of squares",
        "package.json": "{}",
    }.items():
        path = tmp_path / "pwa" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return tmp_path / "pwa"


@pytest.fixture
def client(folder, pwa):
    for app in running(config_in(folder, pwa=pwa)):
        yield client_of(app)


def test_the_release_lists_every_file_with_its_hash(client):
    release = client.get("/release.json").json
    paths = [file["path"] for file in release["files"]]
    assert paths == sorted(paths)
    assert set(paths) == {
        "/",
        "/core.pack",
        "/app/main.js",
        "/app/screens/one.js",
        "/field/log.js",
        "/kinds.json",
        "/languages/es.json",
        "/styles/page.css",
        "/vendor/idb/build/index.js",
        "/vendor/zxing-wasm/dist/es/share.js",
    }
    assert [file["path"] for file in release["files"] if file.get("later")] == [
        "/languages/es.json",
        "/vendor/zxing-wasm/dist/es/share.js",
    ]
    for file in release["files"]:
        body = client.get(file["path"]).data
        assert (len(body), hashlib.sha256(body).hexdigest()) == (file["bytes"], file["sha256"]), file["path"]


def test_the_release_changes_with_any_file_and_only_then(client, pwa):
    before = client.get("/release.json").json["release"]
    assert client.get("/release.json").json["release"] == before
    (pwa / "app" / "main.js").write_text("changed;")
    changed = client.get("/release.json").json["release"]
    (pwa / "field" / "new.js").write_text("new;")
    assert len({before, changed, client.get("/release.json").json["release"]}) == 3
    assert client.get("/field/new.js").data == b"new;"


def test_the_worker_is_served_for_all_of_the_site_and_not_listed(client):
    response = client.get("/sw.js?release=abc")
    assert response.headers["Service-Worker-Allowed"] == "/"
    assert response.headers["Cache-Control"] == "no-cache"
    assert response.mimetype == "text/javascript"


def test_the_portable_core_is_served_whole_as_bytecode(client):
    index, _, bodies = client.get("/core.pack").data.partition(b"\n")
    listed = json.loads(index)
    assert [name for name, _ in listed] == sorted(path.with_suffix(".mpy").name for path in bytecode.CORE.glob("*.py"))
    for name, length in listed:
        assert bodies[:length] == bytecode.modules()[name], name
        bodies = bodies[length:]
    assert not bodies


def test_what_is_compressed_lies_at_hand_for_the_next_start(client, pwa, monkeypatch):
    asked = {"Accept-Encoding": "br"}
    first = client.get("/app/main.js", headers=asked).data
    shell._encoded.cache_clear()
    monkeypatch.setitem(shell._ENCODINGS, "br", None)  # would fail if it were asked to compress again
    assert client.get("/app/main.js", headers=asked).data == first
    assert [path.suffix for path in (pwa / "node_modules" / ".packed").iterdir()] == [".br"]


def test_what_is_packed_lies_there_in_the_order_of_the_list(client, pwa):
    (pwa / "index.html").write_text('<link rel="modulepreload" href="/app/main.js" />')
    files = client.get("/release.json").json["files"]
    packed = [file for file in files if "pack" in file]
    assert [file["path"] for file in packed] == ["/app/screens/one.js", "/field/log.js"], "main.js comes with the page"
    for file in packed:
        assert (file["type"], client.get(file["pack"]).data) == ("text/javascript", client.get(file["path"]).data)
    (pwa / "app" / "two.js").write_text("two;")
    assert client.get("/packs/app").data == b"one;" + b"two;"
    assert_error(client.get("/packs/vendor"), 404, "not_found")


def test_what_was_put_together_stands_for_its_sources_as_long_as_they_are_the_same(client, pwa):
    sources = {
        name: hashlib.sha256((pwa / name).read_bytes()).hexdigest()
        for name in ("index.html", "sw.js", "app/main.js", "app/screens/one.js", "field/log.js")
    }
    made = {"sources": sources, "vendors": ["/vendor/idb/build/index.js"]}
    for name, text in {
        "made.json": json.dumps(made),
        "index.html": "joined page",
        "sw.js": "joined worker;",
        "app/main.js": "joined main;",
        "app/joined/first.js": "first;",
    }.items():
        path = pwa / shell.JOINED / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    paths = {file["path"] for file in client.get("/release.json").json["files"]}
    assert "/app/joined/first.js" in paths
    assert not paths & {"/vendor/idb/build/index.js", "/made.json", "/app/made.json"}
    together = {address: client.get(address).text for address in ("/", "/sw.js", "/app/main.js", "/field/log.js")}
    assert [*together.values()] == ["joined page", "joined worker;", "joined main;", "log;"]
    (pwa / "field" / "log.js").write_text("another log;")
    client.get("/release.json")
    assert client.get("/sw.js").text == "worker;"
    assert client.get("/field/log.js").text == "another log;"
    assert_error(client.get("/app/joined/first.js"), 404, "not_found")
    assert client.get("/vendor/idb/build/index.js").status_code == 200


def test_kinds_are_the_cores_declaration(client):
    assert client.get("/kinds.json").json == json.loads(json.dumps(entries.declaration()))


def test_files_are_sent_compressed_to_whoever_takes_it(client):
    plain = client.get("/app/main.js")
    zipped = client.get("/app/main.js", headers={"Accept-Encoding": "gzip"})
    smaller = client.get("/app/main.js", headers={"Accept-Encoding": "gzip, br"})
    assert (zipped.headers["Content-Encoding"], smaller.headers["Content-Encoding"]) == ("gzip", "br")
    assert gzip.decompress(zipped.data) == brotli.decompress(smaller.data) == plain.data
    assert len(smaller.data) < len(zipped.data) < len(plain.data)
    assert "Content-Encoding" not in plain.headers
    for response in (plain, zipped, smaller):
        assert response.headers["Vary"] == "Accept-Encoding"
        assert response.headers["Cache-Control"] == "no-cache"


@pytest.mark.parametrize("encoding", ["", "gzip", "br"])
def test_a_file_that_did_not_change_is_not_sent_again(client, pwa, encoding):
    headers = {"Accept-Encoding": encoding}
    tag = client.get("/app/main.js", headers=headers).headers["ETag"]
    again = client.get("/app/main.js", headers=headers | {"If-None-Match": tag})
    assert (again.status_code, again.data) == (304, b"")
    (pwa / "app" / "main.js").write_text("changed;")
    assert client.get("/app/main.js", headers=headers | {"If-None-Match": tag}).status_code == 200


@pytest.mark.parametrize(
    "address",
    [
        "/app/../package.json",
        "/app/..%2fpackage.json",
        "/app/%2e%2e/package.json",
        "/app//main.js",
        "/app/./main.js",
        "/app/.hidden/secret.js",
        "/app/screens",
        "/app/screens/",
        "/app/",
        "/package.json",
        "/index.html",
        "/vendor/idb/package.json",
        "/vendor/idb/build/../package.json",
        "/vendor/idb",
        "/vendor/..%2f..%2fpackage.json",
        "/vendor//etc/passwd",
        "/core/engine.py",
        "/packs/",
        "/packs/core",
        "/field/log.js%00.png",
        "/app/main.js\\..\\..\\package.json",
        "/node_modules/idb/build/index.js",
    ],
)
def test_nothing_else_is_served(client, address):
    assert_error(client.get(address), 404, "not_found")


def test_a_link_out_of_the_folder_is_the_developers_own_doing_but_a_missing_file_is_404(client, pwa):
    os.unlink(pwa / "field" / "log.js")
    assert_error(client.get("/field/log.js"), 404, "not_found")


def test_everything_the_real_page_needs_is_served(stranger):
    """The third-party list names files that npm really put there, and the import map points at nothing else."""
    for name in shell.VENDOR:
        assert (PWA / "node_modules" / name).is_file(), name
    page = stranger.get("/").text
    linked = re.findall(r'(?:src|href)="(/[^"]+)"', page)
    for address in (*imports_of(page).values(), *linked):
        assert stranger.get(address).status_code == 200, address


def test_what_the_real_modules_import_is_served(app, stranger):
    """Every address that a module of ours or of a third party imports is in the release."""
    files = {file["path"] for file in stranger.get("/release.json").json["files"]}
    imports = imports_of(stranger.get("/").text)
    for path in files:
        if path.endswith((".js", ".mjs")) and not path.startswith("/vendor/@micropython"):
            for name in imported(stranger.get(path).text):
                assert resolved(name, path, imports) in files, f"{path} imports {name}"


def test_the_real_page_comes_put_together(stranger):
    """What a phone gets is what these tests are about: where this fails, deploy/test.py puts the modules together."""
    page = stranger.get("/").text
    assert imports_of(page) == {}, "modules of others lie in what was put together"
    asked_for = re.findall(r'rel="modulepreload" href="([^"]+)"', page)
    assert {"/app/joined/texts.js", "/app/joined/first.js"} <= set(asked_for)
    assert "import " not in stranger.get("/sw.js").text


def test_a_module_is_served_without_its_comments_and_otherwise_as_it_is(app, stranger):
    """Token by token, as a parser of JavaScript that is not ours reads them; each on the line it stands on."""
    paths = app.extensions["coiltrail.shell"]._paths
    addresses = [address for address in paths if address.endswith(".js") and not address.startswith("/vendor/")]
    modules = [paths[address] for address in addresses]
    served = [stranger.get(address).text for address in addresses]
    asked = json.dumps([[path.read_text(), text] for path, text in zip(modules, served, strict=True)])
    differing = json.loads(
        subprocess.run(
            ["node", "--input-type=module", "-e", SAME_TOKENS],
            input=asked,
            capture_output=True,
            text=True,
            check=True,
            cwd=PWA,
        ).stdout
    )
    assert [addresses[at] for at in differing] == []
    assert sum(map(len, served)) < 0.85 * sum(len(path.read_text()) for path in modules)


# Reads [[source, served], ...] and writes the places of those that differ.
SAME_TOKENS = """
import { tokenizer } from 'acorn';
import { readFileSync } from 'node:fs';
const tokens = (text) => [...tokenizer(text, { ecmaVersion: 'latest', sourceType: 'module', locations: true })].map(
  ({ type, value, loc }) => [type.label, typeof value === 'object' ? String(value?.value) : value, loc.start.line],
);
const pairs = JSON.parse(readFileSync(0, 'utf8'));
const same = ([one, two]) => JSON.stringify(tokens(one)) === JSON.stringify(tokens(two));
const differ = pairs.flatMap((pair, at) => (same(pair) ? [] : [at]));
process.stdout.write(JSON.stringify(differ));
"""


def test_the_style_of_the_page_is_every_sheet_one_after_the_other(stranger):
    served = stranger.get("/styles/page.css")
    assert served.mimetype == "text/css"
    sheets = {path.name: path.read_text() for path in (PWA / "styles").glob("*.css")}
    assert all(sheet in served.text for sheet in sheets.values())
    assert len(served.text) == sum(map(len, sheets.values())) + len(sheets) - 1
    assert served.text.startswith(sheets["paper.css"])
    assert served.text.endswith(sheets["print.css"])


def test_the_page_asks_at_once_for_all_that_its_start_imports(stranger):
    """All that start.js and main.js import, directly or not: found out one by one it takes several rounds."""
    page = stranger.get("/").text
    imports = imports_of(page)
    needed, found = ["/app/start.js", "/app/main.js"], set()
    while needed:
        path = needed.pop()
        if path not in found:
            found.add(path)
            needed += [resolved(name, path, imports) for name in imported(stranger.get(path).text)]
    listed = set(re.findall(r'rel="modulepreload" href="([^"]+)"', page))
    assert listed - {"/field/session.js", "/field/log.js"} == found - {"/app/start.js"}  # those two a moment later


def imports_of(page):
    """The import map of the page; it needs none where no module of another is read by itself."""
    found = re.search(r'<script type="importmap">(.*?)</script>', page, re.DOTALL)
    return json.loads(found[1])["imports"] if found else {}


def imported(source):
    """Names that a module imports before it runs."""
    text = re.sub(r"/\*.*?\*/|(?m:^\s*//.*$)", "", source, flags=re.DOTALL)
    return re.findall(r"""(?:^|[;}\s])(?:import|export)\s*[^'"();=]*?(?:from\s*)?["']([^"'\s]+)["']""", text)


def resolved(name, path, imports):
    if name.startswith("."):
        return os.path.normpath(os.path.join(os.path.dirname(path), name))
    return name if name.startswith("/") else imports.get(name, name)


def test_a_language_is_served_as_one_catalogue(client):
    assert client.get("/languages/es.json").json == languages.catalogue("es")
    assert client.get("/languages/en.json").status_code == client.get("/languages/xx.json").status_code == 404
