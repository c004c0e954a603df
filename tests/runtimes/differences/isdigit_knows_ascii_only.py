# isdigit and isalpha are false for digits and letters outside ASCII.
# Cause: MicroPython has no Unicode tables.
# Way round: `char in "0123456789"`.


def plain():
    return "²".isdigit(), "é".isalpha()


def way_round():
    return "²" in "0123456789", "2" in "0123456789"
