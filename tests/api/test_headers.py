"""Security headers stand on every answer."""

import base64
import hashlib
import re

import pytest

from tests.conftest import config_in, running


@pytest.mark.parametrize("address", ["/", "/api/state", "/api/me", "/nothing", "/t/0123456789", "/core.pack"])
def test_every_answer_carries_them(stranger, address):
    headers = stranger.get(address).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert "camera=(self)" in headers["Permissions-Policy"] and "geolocation=()" in headers["Permissions-Policy"]
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    assert "unsafe-inline" not in headers["Content-Security-Policy"]
    assert "'unsafe-eval'" not in headers["Content-Security-Policy"]


def test_what_stands_in_the_page_is_allowed_by_its_hash(tmp_path, folder):
    pwa = tmp_path / "pwa"
    pwa.mkdir()
    texts = ('\n{"imports": {"a": "/a.js"}}\n', "theme();")
    (pwa / "index.html").write_text(
        "<html><script src='/app/x.js'></script>"
        f'<script type="importmap">{texts[0]}</script><script>{texts[1]}</script>'
    )
    hashes = [base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in texts]
    expected = " ".join(f"'sha256-{one}'" for one in hashes)
    for app in running(config_in(folder, pwa=pwa)):
        policy = app.test_client().get("/").headers["Content-Security-Policy"]
        assert re.search(r"script-src ([^;]*)", policy)[1] == f"'self' 'wasm-unsafe-eval' {expected}"
        (pwa / "index.html").write_text("<html></html>")
        policy = app.test_client().get("/").headers["Content-Security-Policy"]
        assert "sha256" not in policy


def test_what_stands_in_the_real_page_is_allowed(stranger):
    response = stranger.get("/")
    inline = re.findall(r"<script(?: type=\"importmap\")?>(.*?)</script>", response.text, re.DOTALL)
    assert len(inline) >= 1
    for text in inline:
        expected = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"'sha256-{expected}'" in response.headers["Content-Security-Policy"]
