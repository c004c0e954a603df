from coiltrail.core import plaintext


def test_case_is_changed_within_ascii_only():
    assert plaintext.upper("éaßz") == "éAßZ"
    assert plaintext.lower("ÉA\u212aZ") == "Éa\u212az"


def test_every_kind_of_space_becomes_one_plain_one():
    assert plaintext.spaced("\u00a0a \t\u2009b\x1f\r\nc\u3000") == "a b c"


def test_every_kind_of_dash_becomes_a_hyphen():
    assert plaintext.dashed("1\u20132\u22123\u20144") == "1-2-3-4"
