# json.loads leaves an escaped pair of surrogates as two characters.
# Cause: MicroPython decodes each \uXXXX on its own. Python's json.dumps writes such pairs, a page does not.
# Way round: hand JSON over unescaped (ensure_ascii=False); canonical.dumps joins the halves when it writes.
import json

from coiltrail.core import canonical

TEXT = '"\\ud83d\\ude00"'


def plain():
    return len(json.loads(TEXT))


def way_round():
    return canonical.dumps(json.loads(TEXT))
