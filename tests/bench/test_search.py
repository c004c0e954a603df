"""The shop that searches are measured in, at a small size: what is typed finds what is meant."""

from coiltrail.bench import search as bench
from coiltrail.store import search
from coiltrail.store.database import db
from coiltrail.store.models import CaseSummary


def test_each_search_finds_what_it_is_meant_to(app, shop_id):
    with app.app_context():
        bench.fill(shop_id, "01900000-0000-7000-8000-000000000001", 60)
        assert db.session.query(CaseSummary).count() == 60
        searches = bench._searches(60, "01900000-0000-7000-8000-000000000001")
        found = {what: [len(search.cases(shop_id, one).cases) for one in some] for what, some in searches.items()}
        db.session.remove()
    assert set(found["plate"]) == set(found["telephone"]) == {1}
    assert set(found["nothing that is there"]) == {0}
    assert set(found["open, no word"]) == {3}
    for what in ("two first letters", "a code", "a word, of Ada"):
        assert max(found[what]) > 1, what
