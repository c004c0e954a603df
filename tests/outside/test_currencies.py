"""Currencies whose minor unit is not a hundredth, against the JavaScript runtime's table (CLDR, through ICU).

CLDR gives some currencies fewer digits than ISO 4217 has, since people no longer use their coins; so each of ours must
have at most as many there, and none there may have more than here.
"""

import json
import shutil
import subprocess

from coiltrail.core import money

SCRIPT = """console.log(JSON.stringify(Object.fromEntries(Intl.supportedValuesOf('currency').map((currency) => [
  currency,
  new Intl.NumberFormat('en', {style: 'currency', currency}).resolvedOptions().maximumFractionDigits]))))"""
UNIT_OF_ACCOUNT = {"CLF"}  # four digits; nobody is paid in it


def test_no_currency_has_fewer_digits_here_than_there():
    node = shutil.which("node")
    assert node, "the set-up brings node: run deploy/test.py"
    told = json.loads(subprocess.run([node, "-e", SCRIPT], capture_output=True, text=True, check=True).stdout)
    assert len(told) > 100
    assert {code for code, digits in told.items() if digits > money.digits(code)} - UNIT_OF_ACCOUNT == set()
    without = set(money.OTHER_DIGITS[0].split())
    assert {code for code in without & told.keys() if told[code] != 0} == set()
    assert {code for code, digits in told.items() if digits == 3} <= set(money.OTHER_DIGITS[3].split())
