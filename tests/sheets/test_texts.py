"""The catalogue of printed words: every text can be filled in, and says which part it lacks."""

import string

import pytest

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Texts, languages, texts


@pytest.fixture
def few():
    entries = {
        "page.foot": "Page {number} of {of}",
        "page.left.one": "{number} page is left",
        "page.left.other": "{number} pages are left",
        "risk.wax": ("Hot {what} burns.", "Never leave it alone."),
        "risk.who": "Everyone near the pot",
    }
    return Texts(language="en", entries=entries)


def test_parts_are_put_in(few):
    assert few("page.foot", number=2, of=7) == "Page 2 of 7"


def test_one_and_several(few):
    assert few.count("page.left", 1) == "1 page is left"
    assert few.count("page.left", 0) == "0 pages are left"


def test_lines_keep_their_order(few):
    assert few.lines("risk.wax", what="wax") == ("Hot wax burns.", "Never leave it alone.")


def test_a_table_of_texts(few):
    assert few.under("page") == {
        "foot": "Page {number} of {of}",
        "left.one": "{number} page is left",
        "left.other": "{number} pages are left",
    }
    assert few.under("risk") == {"who": "Everyone near the pot"}


def test_words_of_the_plan_come_through_unless_the_language_has_its_own(few):
    assert few.phrase("dark blue") == "dark blue"
    german = Texts(language="de", entries={**few.entries, "phrase.dark blue": "dunkelblau"})
    assert german.phrase("dark blue") == "dunkelblau"
    assert german.phrase("red") == "red"


@pytest.mark.parametrize("key", ["page.head", "risk.wax"])
def test_a_text_that_is_not_there(few, key):
    with pytest.raises(KeyError):
        few(key)


def test_a_part_left_out(few):
    with pytest.raises(KeyError, match="of"):
        few("page.foot", number=2)


def test_an_unknown_language():
    with pytest.raises(BatikError, match="'en'"):
        texts("eng")


@pytest.mark.parametrize("language", languages())
def test_every_text_is_sound_and_every_language_has_the_same_braces(language):
    def braces(entry):
        whole = entry if isinstance(entry, str) else " ".join(entry)
        assert whole.strip() == whole != ""
        return {name for _, name, _, _ in string.Formatter().parse(whole) if name is not None}

    first = texts("en").entries
    for key, entry in texts(language).entries.items():
        assert braces(entry) == braces(entry if key.startswith("phrase.") else first[key]), key
