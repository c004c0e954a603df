"""What work costs: lines, taxes and sums of an estimate or a bill, exact to the smallest coin.

Amounts are whole numbers of the currency's minor unit (cents). Every line is rounded to a minor unit by itself, halves
upward; a tax is taken on the sum of the lines it applies to and rounded once, halves upward. What is paid is the sum
of what stands on the paper.
"""

from . import entries
from .tongue import phrase

# Currencies whose minor unit is not a hundredth (ISO 4217, list one).
OTHER_DIGITS = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    3: "BHD IQD JOD KWD LYD OMR TND",
}


def digits(currency):
    """How many digits of the currency stand after the point."""
    for count in OTHER_DIGITS:  # in any order
        if currency in OTHER_DIGITS[count].split():
            return count
    return 2


def show(minor, currency):
    """An amount in words: 18050 of EUR is "180.50 EUR"."""
    places = digits(currency)
    sign, size = ("-", -minor) if minor < 0 else ("", minor)
    whole, rest = divmod(size, 10**places)
    if places == 0:
        return "%s%d %s" % (sign, whole, currency or "")
    text = str(rest)
    return "%s%d.%s%s %s" % (sign, whole, "0" * (places - len(text)), text, currency or "")


def minor(major, currency):
    """A number of whole units as minor units, halves upward: 180.5 of EUR is 18050."""
    return int(major * 10 ** digits(currency) + 0.5)


def totals(priced):
    """The sums of a ``priced`` body: ``{"currency", "lines", "net", "taxes", "total"}``, amounts also as text."""
    currency = priced.get("currency") or ""
    lines = [_line(line, currency) for line in priced.get("lines") or []]
    net = sum([line["amount"] for line in lines])
    taxes = [_tax(tax, lines, currency) for tax in priced.get("taxes") or []]
    total = net + sum([tax["amount"] for tax in taxes])
    return {
        "currency": currency,
        "lines": lines,
        "net": net,
        "net_text": show(net, currency),
        "taxes": taxes,
        "total": total,
        "total_text": show(total, currency),
    }


def _line(line, currency):
    quantity = 1 if line.get("quantity") is None else line["quantity"]
    # Quantities have two decimals at most, so that the product is a whole number of hundredths of a minor unit.
    hundredths = int(quantity * 100 + 0.5)
    amount = (hundredths * line["price"] + 50) // 100
    return {
        "sort": line["sort"],
        "text": line["text"],
        "quantity": quantity,
        "price": line["price"],
        "price_text": show(line["price"], currency),
        "amount": amount,
        "amount_text": show(amount, currency),
    }


def _tax(tax, lines, currency):
    # A rate has three decimals at most: thousandths of a percent are whole.
    thousandths = int(tax["rate"] * 1000 + 0.5)
    on = tax.get("on") or [sort for sort, _ in entries.LINE_SORTS]
    base = sum([line["amount"] for line in lines if line["sort"] in on])
    amount = (base * thousandths + 50000) // 100000
    return {"label": tax["label"], "rate": tax["rate"], "amount": amount, "amount_text": show(amount, currency)}


def of_case(case):
    """What the case costs: the bill, else the estimate, with what the owner agreed to; None where nothing is priced.

    ``totals``, and ``stage``, ``agreed`` (see ``agreement``), ``over`` (minor units beyond the limit agreed, 0 where
    there is none) and ``warning``.
    """
    stages = {}
    for _, entry in case.of_kind("priced"):
        stages[entry["body"]["stage"]] = entry
    entry = stages.get("bill") or stages.get("estimate")
    return checked(case, entry["body"]) if entry else None


def checked(case, priced):
    """``totals`` of a ``priced`` body, held against what the owner of the case agreed to."""
    told = totals(priced)
    agreed = agreement(case) if case else None
    told["stage"] = priced.get("stage")
    told["agreed"] = agreed
    told["over"] = 0
    told["warning"] = ""
    if priced.get("stage") != "bill" or not told["lines"]:
        return told
    if agreed is None:
        told["warning"] = phrase("The owner has agreed to no estimate.")
    elif agreed["limit"] is not None and agreed["currency"] != told["currency"]:
        told["warning"] = phrase(
            "The owner agreed in {agreed}, this bill is in {billed}.",
            agreed=agreed["currency"],
            billed=told["currency"],
        )
    elif agreed["limit"] is not None and told["total"] > agreed["limit"]:
        told["over"] = told["total"] - agreed["limit"]
        told["warning"] = phrase(
            "{over} more than the {limit} the owner agreed to: ask before you hand it over.",
            over=show(told["over"], told["currency"]),
            limit=show(agreed["limit"], agreed["currency"]),
        )
    return told


HOW = {"signed": "signed", "said": "agreed in conversation", "written": "agreed in writing"}
BY = {"signed": "signed by {name}", "said": "{name} agreed in conversation", "written": "{name} agreed in writing"}


def agreement(case):
    """The latest consent: ``{"what", "limit" (minor units or null), "limit_text", "currency", "how", "name",
    "signature", "signed", "text", "ms"}``; ``text``: all of it in words but the day; ``signed``: whose signature it is.
    None where there is none."""
    entry = case.last("agreed")
    if entry is None:
        return None
    body = entry["body"]
    currency = body.get("currency") or ""
    limit = body.get("limit")
    limit = None if limit is None else minor(limit, currency)
    when = entry.get("when") or {}
    limit_text = "" if limit is None else show(limit, currency).strip()
    what = phrase("{what}, up to {limit}", what=body["what"], limit=limit_text) if limit_text else body["what"]
    how = phrase(HOW.get(body["how"], body["how"]))
    name = body.get("name") or ""
    return {
        "what": body["what"],
        "limit": limit,
        "limit_text": limit_text,
        "currency": currency,
        "how": how,
        "name": name,
        "signature": body.get("signature"),
        "signed": phrase("Signature of {name}", name=name) if name else phrase("Signature"),
        "text": "%s; %s" % (what, phrase(BY[body["how"]], name=name) if name and body["how"] in BY else how),
        "ms": when.get("ms", entry["at"][0]),
    }


def terms(log):
    """What the shop charges, from its own log (``prices_set``): the latest that was not struck out, else None.

    ``{"currency", "digits", "labour_rate" (minor units an hour), "taxes", "parts": [{"kind", "price"}], "prices" and
    "rate": the same in whole units, as ``costs`` takes them}``
    """
    log = entries.in_order(log)
    readable = [entry for entry in log if entries.understood(entry) != "nothing"]
    struck = entries.struck(readable)
    found = [entry for entry in readable if entry["kind"] == "prices_set" and entry["id"] not in struck]
    if not found:
        return None
    body = found[-1]["body"]
    unit = 10 ** digits(body["currency"])
    return {
        "currency": body["currency"],
        "digits": digits(body["currency"]),
        "labour_rate": body["labour_rate"],
        "taxes": body.get("taxes") or [],
        "parts": body.get("parts") or [],
        "prices": {part["kind"]: part["price"] / unit for part in body.get("parts") or []},
        "rate": body["labour_rate"] / unit,
    }
