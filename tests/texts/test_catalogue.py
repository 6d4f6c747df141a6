"""The catalogue of sentences: what is put in, plurals, numbers and lists as each language has them."""

import gettext
import io

import pytest
from babel import Locale
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from batiksim.texts.catalogue import Texts, message_data, say, speaking, spoken, texts


def catalogue(code: str, entries: dict) -> Texts:
    made = Catalog(locale=code)
    for key, text in entries.items():
        made.add((key, key) if isinstance(text, tuple) else key, text)
    file = io.BytesIO()
    write_mo(file, made)
    file.seek(0)
    return Texts(code, gettext.GNUTranslations(file))


@pytest.fixture
def few():
    return catalogue("en", {
        "page.foot": "Page {number} of {of}",
        "page.left": ("{count} page is left", "{count} pages are left"),
        "page.wax": "Hot {what} burns.\nNever leave it alone.",
        "page.wide": "{mm:0.0} mm, {share:capital}",
        "ordinal.one": "{number}st", "ordinal.two": "{number}nd", "ordinal.few": "{number}rd",
        "ordinal.other": "{number}th",
    })  # fmt: skip


def test_parts_are_put_in(few):
    assert few("page.foot", number=2, of=7) == "Page 2 of 7"


def test_one_and_several(few):
    assert [few("page.left", count=n) for n in (0, 1, 2)] == [
        "0 pages are left", "1 page is left", "2 pages are left"
    ]  # fmt: skip


def test_lines_keep_their_order(few):
    assert few.lines("page.wax", what="wax") == ("Hot wax burns.", "Never leave it alone.")


def test_numbers_lists_and_first_letters(few):
    assert few("page.wide", mm=0.349, share=("red", say("page.foot", number=1, of=2))) == "0.3 mm, Red and Page 1 of 2"
    assert few.listed(("a", "b", "c")) == "a, b and c"
    assert few.number(1200.5) == "1200.5"


def test_numbers_and_plurals_follow_the_language():
    """CLDR: Indonesian writes a decimal comma and knows one form; Polish has three forms for whole numbers."""
    indonesian = catalogue("id", {"page.wide": "{mm:0.0} mm"})
    assert indonesian("page.wide", mm=0.349) == "0,3 mm"
    assert indonesian.listed(("a", "b", "c")) == "a, b, dan c"
    polish = catalogue("pl", {"pots": ("{count} garnek", "{count} garnki", "{count} garnków")})
    rule = Locale("pl").plural_form
    ending = {"one": "garnek", "few": "garnki", "many": "garnków"}
    for n in (1, 2, 4, 5, 11, 12, 21, 22, 25, 100, 104, 112):
        assert polish("pots", count=n) == f"{n} {ending[rule(n)]}"


@pytest.mark.parametrize(
    ("number", "shown"), [(1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (11, "11th"), (12, "12th"), (13, "13th"),
                          (21, "21st"), (102, "102nd"), (113, "113th")],
)  # fmt: skip
def test_ordinals(few, number, shown):
    assert few.ordinal(number) == shown


def test_a_key_or_part_that_is_not_there(few):
    with pytest.raises(KeyError, match="of"):
        few("page.foot", number=2)
    with pytest.raises(KeyError):
        texts()("page.nowhere")
    with pytest.raises(KeyError):
        texts()("page.nowhere", count=2)


def test_a_message_is_its_key_and_parts():
    nested = say("phrase.percent", value=3.5)
    message = say("phrase.listed", words=["navy", nested])
    assert message == say("phrase.listed", words=("navy", nested))
    assert hash(message) == hash(say("phrase.listed", words=("navy", nested)))
    assert str(message) == "navy and 3.5%"
    assert message_data(message) == {"key": "phrase.listed", "values": {"words": ["navy", "3.5%"]}}


def test_a_block_speaks_its_language():
    with speaking("en"):
        assert spoken() == "en"
    with pytest.raises(KeyError), speaking("xx"):
        pass
