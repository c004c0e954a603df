"""Sends hostile pictures to a shop in this process and prints what came of it as JSON.

``python -m tests.api.send_hostile_pictures DIRECTORY``, a directory with a migrated shop. It is a process of its own
because the most memory a process ever had is counted for the whole process.
"""

import json
import resource
import sys
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from coiltrail.app import create_app
from tests.conftest import config_in, new_phone
from tests.phone import jpeg, sha256

from . import hostile_pictures

AT_ONCE = 8  # phones


def main(folder: Path) -> None:
    app = create_app(config_in(folder))
    # The pictures are made by a process of its own as well: to make a large one takes memory too.
    pictures = [(path.name, path) for path in sorted((folder / "hostile").iterdir())]
    phones = [new_phone(app) for _ in range(AT_ONCE)]
    for phone in phones:
        assert send(phone, jpeg(2000, 1500)) == [204, 200]
    before = most_memory()
    answers = defaultdict(list)
    with ThreadPoolExecutor(AT_ONCE) as many:
        sent = many.map(lambda one: send(phones[one[0] % AT_ONCE], one[1][1].read_bytes()), enumerate(pictures))
        for (name, _), statuses in zip(pictures, sent, strict=True):
            answers[str(statuses)].append(name)
    print(json.dumps({"grown_mb": round((most_memory() - before) / 2**20), "answers": answers}))


def send(phone, content: bytes) -> list[int]:
    """The status of the last piece, and of the small picture."""
    uploaded = phone.upload(content, piece=1_000_000).status_code
    return [uploaded, phone.client.get(f"/api/photos/{sha256(content)}/thumb").status_code]


def most_memory() -> int:
    """The most bytes that this process ever had in memory."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most if sys.platform == "darwin" else most * 1024


def make(folder: Path) -> None:
    """Write the pictures to ``folder``."""
    folder.mkdir()
    for name, content in [*hostile_pictures.small(), *hostile_pictures.large()]:
        (folder / name.replace(" ", "_")).write_bytes(content)


if __name__ == "__main__":
    if sys.argv[1] == "make":
        make(Path(sys.argv[2]) / "hostile")
    else:
        main(Path(sys.argv[2]))
