"""Sums of estimates and bills, to the smallest coin, and what the owner agreed to."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coiltrail.core import casefile, entries, money
from coiltrail.store.entry_check import problem_of
from demo_fixtures.logbook import Logbook
from demo_fixtures.shop import build

HUNDREDTHS = st.integers(0, 100_000)
PRICES = st.integers(0, entries.MOST_MINOR)
SORTS = st.sampled_from([sort for sort, _ in entries.LINE_SORTS])
LINES = st.lists(st.tuples(SORTS, HUNDREDTHS, PRICES), min_size=1, max_size=8)
TAXES = st.lists(st.tuples(st.integers(0, 100_000), st.lists(SORTS, unique=True)), max_size=3)


def body(lines, taxes=(), currency="EUR", stage="bill"):
    return {
        "stage": stage,
        "currency": currency,
        "lines": [{"sort": s, "text": "Something", "quantity": q / 100, "price": p} for s, q, p in lines],
        "taxes": [{"label": "Tax", "rate": rate / 1000, "on": on} for rate, on in taxes],
    }


def rounded(amount):
    return int(amount.quantize(Decimal(1), ROUND_HALF_UP))


@given(LINES, TAXES)
def test_the_sums_are_those_of_decimal_arithmetic(lines, taxes):
    told = money.totals(body(lines, taxes))
    amounts = [rounded(Decimal(q) * p / 100) for _, q, p in lines]
    assert [line["amount"] for line in told["lines"]] == amounts
    for (rate, on), tax in zip(taxes, told["taxes"], strict=True):
        base = sum(a for (sort, _, _), a in zip(lines, amounts, strict=True) if not on or sort in on)
        assert tax["amount"] == rounded(Decimal(base) * rate / 100_000)
    assert told["net"] == sum(amounts)
    assert told["total"] == told["net"] + sum(tax["amount"] for tax in told["taxes"])


@pytest.mark.parametrize(
    ("minor", "currency", "text"),
    [(18050, "EUR", "180.50 EUR"), (5, "USD", "0.05 USD"), (1200, "JPY", "1200 JPY"), (1005, "KWD", "1.005 KWD")],
)
def test_amounts_in_words(minor, currency, text):
    assert money.show(minor, currency) == text


def test_an_amount_typed_in_whole_units_becomes_the_nearest_coin():
    assert [money.minor(x, "EUR") for x in (180.55, 0.29, 1.005, 95)] == [18055, 29, 100, 9500]


def problem(kind, **body):
    log = Logbook("money")
    return problem_of(log.add(kind, **body))


def test_a_tax_of_400_percent_is_refused_with_what_to_do():
    line = {"sort": "part", "text": "Coil", "price": 6400}
    taxes = [{"label": "VAT", "rate": 400}]
    for told in (
        problem("prices_set", currency="EUR", labour_rate=7200, taxes=taxes),
        problem("priced", stage="bill", currency="EUR", lines=[line], taxes=taxes),
    ):
        assert told == {"field": "taxes.0.rate", "message": "Rate: give a number from 0 to 100\u00a0%."}


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"taxes": [{"label": "VAT", "rate": 8.8755}]}, "taxes.0.rate"),
        ({"lines": []}, "lines"),
        ({"lines": [{"sort": "part", "text": "Coil", "price": 10, "quantity": 0.125}]}, "lines.0.quantity"),
        ({"lines": [{"sort": "part", "text": "Coil", "price": 10.5}]}, "lines.0.price"),
    ],
)
def test_what_could_not_be_summed_exactly_is_refused(more, field):
    given_ = {"stage": "bill", "currency": "EUR", "lines": [{"sort": "part", "text": "Coil", "price": 6400}]} | more
    assert problem("priced", **given_)["field"] == field


def priced_case(*, limit=None, currency="USD", how="said"):
    log = Logbook("priced")
    if limit is not None:
        asked = log.price("estimate", ("part", "Coil", 1, 6400))
        log.add("agreed", what="One coil", limit=limit, currency=currency, how=how, of=asked["id"])
    log.price("bill", ("part", "Coil", 1, 6400), ("labour", "Fitting", 0.5, 9600))
    return money.of_case(casefile.fold(log.entries))


class TestAgreement:
    def test_a_bill_within_the_limit_warns_of_nothing(self):
        told = priced_case(limit=112)
        assert (told["total"], told["over"], told["warning"]) == (11200, 0, "")

    def test_a_bill_beyond_the_limit_says_by_how_much(self):
        told = priced_case(limit=111.99)
        assert told["over"] == 1
        assert "0.01 USD more than the 111.99 USD" in told["warning"]

    def test_a_bill_without_consent_or_in_another_currency_says_so(self):
        assert "no estimate" in priced_case()["warning"]
        assert "in EUR" in priced_case(limit=500, currency="EUR")["warning"]

    def test_a_struck_bill_leaves_the_estimate(self):
        log = Logbook("struck bill")
        log.price("estimate", ("part", "Coil", 1, 6400))
        log.strike(log.price("bill", ("part", "Coil", 1, 9900)))
        told = money.of_case(casefile.fold(log.entries))
        assert (told["stage"], told["total"], told["warning"]) == ("estimate", 6400, "")


class TestTerms:
    def test_the_latest_prices_that_were_not_struck_hold(self):
        log = build().own
        log.strike(log.add("prices_set", currency="EUR", labour_rate=1))
        told = money.terms(log.entries[::-1])
        assert (told["currency"], told["rate"], told["prices"]["coil"]) == ("USD", 96.0, 64.0)

    def test_a_shop_that_set_none_has_none(self):
        assert money.terms([]) is None
