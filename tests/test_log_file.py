"""Reading a log from a file."""

import json

import pytest

from coiltrail.log_file import read_log
from coiltrail.trouble import Trouble

from .phone import Phone, lines

phone = Phone(None)


@pytest.fixture
def written(tmp_path):
    def written(content):
        path = tmp_path / "case.jsonl"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return written


def test_a_log_is_read_back(written):
    entries = [phone.entry(), phone.entry("from_the_future", {"x": "é\u2028\u2029\u0085\u000b\u000c\u001c"})]
    assert read_log(written(lines(entries))) == entries
    assert read_log(written("\ufeff" + lines(entries).replace("\n", "\r\n\r\n"))) == entries
    assert read_log(written(json.dumps(entries[1], ensure_ascii=False))) == entries[1:]


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        ("{", "line 2: this is not JSON"),
        ("[" * 100_000, "line 2: this is not JSON"),
        ("3", "line 2, entry: An entry must be an object"),
        ("{}", "line 2, id: Entry: fill this in."),
        (lines([phone.entry(body={"text": ""})]), "line 2, text: Text: fill this in."),
    ],
    ids=["cut", "deep", "number", "empty", "bad field"],
)
def test_a_bad_line_is_named(written, bad, says):
    with pytest.raises(Trouble) as trouble:
        read_log(written(lines([phone.entry()]) + bad))
    assert says in str(trouble.value)
    assert "\n" not in str(trouble.value)


@pytest.mark.parametrize("content", ["", "\n\n", b"\xff\xfe\x00"])
def test_a_file_without_entries_is_no_log(written, content):
    with pytest.raises(Trouble, match=r"case\.jsonl"):
        read_log(written(content))


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(Trouble, match=r"nothing\.jsonl cannot be read"):
        read_log(tmp_path / "nothing.jsonl")
    with pytest.raises(Trouble, match="cannot be read"):
        read_log(tmp_path)
