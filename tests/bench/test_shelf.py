"""The shop that the shelf's search is measured in, at a small size: what is typed finds what is meant."""

from coiltrail.bench import shelf as bench
from coiltrail.store import shelf
from coiltrail.store.database import db


def test_each_text_finds_what_it_is_meant_to(app, shop_id):
    with app.app_context():
        bench.fill(shop_id, "01900000-0000-7000-8000-000000000001", 60, 24)
        found = {typed: shelf.parts(shop_id, None, typed) for typed in bench._TYPED}
        (tagged, *_) = found[""].parts
        by_tag = shelf.parts(shop_id, None, tagged["tag"]).parts
        by_plate = shelf.parts(shop_id, None, tagged["plate"]).parts
        db.session.remove()
    assert len(found[""].parts) == len(found["coil"].parts) == sum(found[""].waiting.values()) == 24
    assert found["w"].parts == found["nothing of this"].parts == []
    wexley = [part for part in found[""].parts if part["brand"] == "Wexley"]
    assert wexley and all(part in found["wex"].parts for part in wexley)
    assert by_tag == by_plate == [tagged]
