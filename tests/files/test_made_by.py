"""Whose a file is: only what batiksim made may be replaced."""

from __future__ import annotations

import pytest

from batiksim.errors import BatikError
from batiksim.files.made_by import check_replaceable, is_marked, may_replace
from batiksim.values import MADE_BY

MARK = MADE_BY.encode()
LOOKED_AT = 65_536


@pytest.fixture
def file(tmp_path):
    def write(name, content):
        path = tmp_path / name
        path.write_bytes(content)
        return path

    return write


@pytest.mark.parametrize(
    ("content", "marked"),
    [
        (b"", False),
        (MARK, True),
        (b"x" * (LOOKED_AT - len(MARK)) + MARK + b"x" * 200_000, True),  # the last place at the start
        (b"x" * (LOOKED_AT + 1) + MARK + b"x" * (LOOKED_AT - len(MARK) + 1), False),  # in between
        (b"x" * 200_000 + MARK + b"x" * (LOOKED_AT - len(MARK)), True),  # the first place at the end
    ],
)
def test_the_mark_counts_at_either_end(file, content, marked):
    assert is_marked(file("cloth.pdf", content)) is marked


def test_what_can_not_be_read_is_not_marked(tmp_path):
    assert not is_marked(tmp_path / "nothing.png")
    assert not is_marked(tmp_path)


@pytest.mark.parametrize("ending", [".png", ".gif", ".webp", ".pdf", ".svg", ".toml", ".txt", ".md", ".PNG"])
def test_a_makers_own_picture_or_page_is_kept(file, ending):
    with pytest.raises(BatikError, match="wasn't made by batiksim or has been changed.*choose another name$"):
        check_replaceable(file(f"mine{ending}", b"my own"))
    check_replaceable(file(f"made{ending}", b"by: " + MARK))


def test_nothing_there_or_data_is_not_refused_beforehand(file, tmp_path):
    check_replaceable(tmp_path / "new.png")
    check_replaceable(tmp_path)
    check_replaceable(file("data.json", b"{}"))


@pytest.mark.parametrize(
    ("name", "old", "new", "free"),
    [
        ("plate.png", b"mine", b"new " + MARK, False),
        ("plate.png", b"old " + MARK, b"new", True),
        ("plate.png", b"alike", b"alike", True),
        ("notes.csv", b"a,b\n1,2\n", b"a,b\n3,4\n5,6\n", True),  # one heading
        ("notes.csv", b"a,b\n1,2\n", b"b,a\n1,2\n", False),
        ("notes.CSV", b"a,b\n1,2\n", b"a,b\n", True),
        ("data.json", b'{"a": 1, "b": 2}', b'{"b": [3], "a": 4}', True),  # the same keys
        ("data.json", b'{"a": 1, "made": "x"}', b'{"a": 2}', True),  # but for the mark
        ("data.json", b'{"a": 1}', b'{"a": 1, "b": 2}', False),
        ("data.json", b'{"a": 1, "b": 2, "c": 3, "d": 4}', b'{"a": 1, "b": 2, "c": 3, "e": 5}', True),  # grown
        ("data.json", b'{"a": 1, "b": 2, "x": 3}', b'{"a": 1, "b": 2, "c": 3}', False),
        ("data.json", b'{"a": 1, "b": 2, "c": 3, "x": 4, "y": 5, "z": 6}', b'{"a": 1, "b": 2, "c": 3}', False),
        ("data.json", b"[1]", b"[2]", False),  # no keys at all
        ("data.json", b"not json", b"not json either", False),
        ("data.json", b"[" * 100_000, b'{"a": 1}', False),
    ],
)
def test_what_may_take_a_place(file, name, old, new, free):
    place, beside = file(name, old), file("new.part", new)
    if free:
        may_replace(place, beside)
    else:
        with pytest.raises(BatikError, match="another folder$"):
            may_replace(place, beside, fix="files.error.foreign.fix_folder")


def test_an_empty_place_may_be_taken(file, tmp_path):
    may_replace(tmp_path / "none.png", file("new.part", b"x"))
