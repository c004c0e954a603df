"""Pictures made to break a server: each is kept or refused, and memory stays within what was planned."""

import json
import subprocess
import sys
from pathlib import Path

from tests.phone import sha256

from .error_shape import assert_error

# 16 bytes for each of the 40 million pixels that may be decoded at one time, and 160 MB for everything else that
# eight phones at once need. Without turns for decoding it is more than 1,200 MB.
MOST_GROWN_MB = 800
TREE = Path(__file__).parents[2]


def test_no_picture_breaks_the_shop_or_fills_its_memory(folder):
    run("make", folder)
    found = json.loads(run("send", folder))
    answers = found["answers"]
    # Kept, with its small picture; a sound by its head, which has none; refused.
    assert set(answers) <= {"[204, 200]", "[204, 404]", "[422, 404]"}, answers
    assert found["grown_mb"] < MOST_GROWN_MB
    kept, refused = set(answers["[204, 200]"]), set(answers["[422, 404]"])
    assert {"jpeg", "progressive", "png", "webp", "cmyk", "16_bit_colour", "large_progressive", "large_cmyk"} <= kept
    assert {"heic", "avif", "moving_gif", "tiff", "bomb_by_header", "endless_scans", "noise", "page"} <= refused
    assert sum(map(len, answers.values())) > 200


def run(what, folder):
    command = [sys.executable, "-W", "error", "-m", "tests.api.send_hostile_pictures", what, str(folder)]
    done = subprocess.run(command, cwd=TREE, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_file_of_no_bytes(phone):
    name = sha256(b"")
    assert_error(phone.patch(name, 0, 0, b""), 413, "too_large")
    assert_error(phone.client.get(f"/api/photos/{name}"), 404, "not_found")
