# def f(a, /) is a syntax error.
# Cause: MicroPython's grammar ends before it.
# Way round: a plain parameter.


def plain():
    return eval("(lambda a, /: a)(1)")


def way_round():
    return (lambda a: a)(1)
