"""How often the phone is right about a picture: blurred, too dark, or neither.

The limits in ``sharpness.js`` were set on every other photograph (by name), these tests use the rest.
``python -m tests.field.test_sharpness`` prints the rates of both halves with every blur and noise.
"""

import struct
import subprocess
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pytest

from .photographs import BLURS, PHOTOGRAPHS, as_kept, darker, smooth_part, taken

SET_ON, TRIED_ON = PHOTOGRAPHS[::2], PHOTOGRAPHS[1::2]
RIGHT = 0.95
NOISES = (0, 4)  # grey levels: sun, and the shade under a bonnet
TOO_DARK = 4  # stops

Made = tuple[str, str, np.ndarray]  # what it is, what the phone should say, RGB


def judged(made: Iterable[Made]) -> list[tuple[str, str, str]]:
    """(what it is, what the phone should say, what it says)."""
    script = Path(__file__).with_name("judge.mjs")
    names: list[tuple[str, str]] = []
    with subprocess.Popen(["node", script], stdin=subprocess.PIPE, stdout=subprocess.PIPE) as node:
        for name, wanted, picture in made:
            height, width = picture.shape[:2]
            opaque = np.dstack([picture, np.full((height, width), 255, np.uint8)])
            node.stdin.write(struct.pack("<II", width, height) + opaque.tobytes())
            names.append((name, wanted))
        said, _ = node.communicate()
    return [(*name, word) for name, word in zip(names, said.decode().split(), strict=True)]


def sharp_ones(paths: list[Path]) -> Iterator[Made]:
    for path in paths:
        picture, seed = taken(path), zlib.crc32(path.parts[-1].encode())
        for noise in NOISES:
            yield f"{path}, noise {noise}", "none", as_kept(picture, noise, seed)


def blurred_ones(paths: list[Path], each: int = len(BLURS)) -> Iterator[Made]:
    """``each``: how many of the blurs a photograph gets, in turn."""
    names = list(BLURS)
    for number, path in enumerate(paths):
        picture, seed = taken(path), zlib.crc32(path.parts[-1].encode())
        for turn in range(each):
            name = names[(number * each + turn) % len(names)]
            for noise in NOISES if each == len(BLURS) else NOISES[turn % 2 :][:1]:
                yield f"{path}, {name}, noise {noise}", "blurred", as_kept(BLURS[name](picture), noise, seed)


def dark_ones(paths: list[Path]) -> Iterator[Made]:
    for path in paths:
        yield f"{path}, dark", "dark", as_kept(darker(TOO_DARK)(taken(path)), 3, zlib.crc32(path.parts[-1].encode()))


def wrong(answers: list[tuple[str, str, str]]) -> list[str]:
    """A blurred picture that is called too dark, or too plain to tell, is asked about all the same."""
    asked_about = {("blurred", "dark"), ("blurred", "plain")}
    return [f"{name}: {said}" for name, wanted, said in answers if said != wanted and (wanted, said) not in asked_about]


@pytest.mark.parametrize(
    "made", [sharp_ones, lambda paths: blurred_ones(paths, 4), dark_ones], ids=["sharp", "blurred", "dark"]
)
def test_it_is_right_about_pictures_that_set_no_limit(made, record_property):
    answers = judged(made(TRIED_ON))
    rate = 1 - len(wrong(answers)) / len(answers)
    record_property("right", rate)
    print(f"right about {rate:.1%} of {len(answers)}")
    assert rate >= RIGHT, wrong(answers)


def test_a_smooth_part_with_few_edges_is_not_blurred_for_that():
    parts = [(smooth_part(seed), NOISES[seed % 2], seed) for seed in range(20)]
    answers = judged((f"part {seed}", "none", as_kept(part, noise, seed)) for part, noise, seed in parts)
    assert len(wrong(answers)) <= (1 - RIGHT) * len(answers), wrong(answers)
    blurs = list(BLURS.items()) * 2
    made = ((f"part {seed}, {blurs[seed][0]}", blurs[seed][1](part), noise, seed) for part, noise, seed in parts)
    answers = judged((name, "blurred", as_kept(picture, noise, seed)) for name, picture, noise, seed in made)
    assert len(wrong(answers)) <= (1 - RIGHT) * len(answers), wrong(answers)


def test_a_picture_of_nothing_and_a_tiny_one_are_judged_without_an_error():
    grey = np.full((1200, 1600, 3), 128, np.uint8)
    assert judged([("nothing", "plain", grey), ("tiny", "plain", grey[:20, :20])]) == [
        ("nothing", "plain", "plain"),
        ("tiny", "plain", "plain"),
    ]


def main() -> None:
    for half, paths in (("limits set on", SET_ON), ("tried on", TRIED_ON)):
        for sort, made in (("sharp", sharp_ones), ("blurred", blurred_ones), ("dark", dark_ones)):
            answers = judged(made(paths))
            print(f"{half}: {sort}, right about {1 - len(wrong(answers)) / len(answers):.1%} of {len(answers)}")
            print("".join(f"  {one}\n" for one in wrong(answers)), end="", flush=True)


if __name__ == "__main__":
    main()
