"""The photos of a case over a link at the edge of a cell: they get through, and hardly a byte goes twice."""

import random
import subprocess
from pathlib import Path

from tests.browser.serving import Shop
from tests.phone import sha256

from .rough_link import RoughLink, opened
from .test_kill_server import noise, signed_in

PHOTOS = 40
SEED = 20251127
RATE = 50_000 / 8  # bytes a second
FASTER = 1000  # the link's clock
PIECE_AND_HEADERS = 66_000  # a cut may come anywhere in a request
SENDER = Path(__file__).with_name("send_photos.mjs")


def test_forty_photos_get_through_with_under_a_tenth_of_waste(tmp_path):
    chance = random.Random(SEED)
    photos = [noise(chance, 640, 480) for _ in range(PHOTOS)]
    folder = tmp_path / "photos"
    folder.mkdir()
    for photo in photos:
        (folder / sha256(photo)).write_bytes(photo)
    size = sum(map(len, photos))
    assert size > PHOTOS * 150_000  # as the phone makes them: up to 300 KB

    shop = Shop(tmp_path / "shop")
    three_of_ten = ("request cut",) * 3 + ("whole",) * 7
    link = RoughLink(shop.port, SEED, three_of_ten, cut_within=PIECE_AND_HEADERS, rate=RATE * FASTER)
    shop.start()
    try:
        with opened(link):
            token = signed_in(shop, link.port).token
            command = ["node", SENDER, str(link.port), token, folder]
            sent = subprocess.run(command, capture_output=True, text=True, timeout=300)
    finally:
        shop.stop()
    assert sent.returncode == 0, sent.stderr
    cut = link.fates["request cut"] / sum(link.fates.values())
    assert 0.2 < cut < 0.4 and int(sent.stdout) > PHOTOS / 2
    for photo in photos:
        name = sha256(photo)
        assert (shop.data / "photos" / name[:2] / name).read_bytes() == photo
    assert link.taken < 1.1 * size, f"{link.taken / size - 1:.1%} of waste"
