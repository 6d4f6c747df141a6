"""Names: every centroid finds itself, and every name has one sensible plain word."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.colour.names import ColourName, colour_name, colour_names, known_names, layered
from batiksim.colour.spaces import hex_to_lab
from batiksim.values.colour_words import PLAIN, name_message

# ISCC-NBS hue nouns (NBS SP 440) and where they may go; the exceptions are listed in test_plain_words
NOUNS = {
    "black", "white", "grey", "red", "pink", "orange", "yellow", "brown", "olive", "green", "blue", "purple", "violet",
}  # fmt: skip


def test_each_of_the_267_names_is_its_own_nearest():
    names, centroids = known_names()
    assert len(names) == len({name.name for name in names}) == 267
    assert centroids.shape == (267, 3)
    found = colour_names(centroids)
    # two pairs of names may share a centroid after rounding to 8 bits; then the plain word must still be the same
    assert sum(a == b for a, b in zip(found, names, strict=True)) >= 265
    assert [name.plain for name in found] == [name.plain for name in names]


def test_every_name_has_one_plain_word_and_every_plain_word_a_name():
    names, _ = known_names()
    assert {name.plain for name in names} == set(PLAIN)
    assert len(PLAIN) == 14
    for name in names:
        assert name.name == name.name.lower()
        assert "gray" not in name.name
        assert name.name.split()[-1] in NOUNS


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("strong reddish brown", "brown"),
        ("deep yellowish pink", "orange"),
        ("dark olive green", "olive"),
        ("greyish olive green", "olive"),
        ("moderate olive brown", "brown"),
        ("olive grey", "grey"),
        ("olive black", "black"),
        ("strong bluish green", "blue-green"),
        ("strong greenish blue", "blue-green"),
        ("vivid yellowish green", "green"),
        ("vivid yellow green", "yellow-green"),
        ("brilliant greenish yellow", "yellow"),
        ("brilliant orange yellow", "yellow"),
        ("deep orange", "orange"),
        ("brownish orange", "brown"),
        ("dark reddish orange", "brown"),
        ("brownish pink", "brown"),
        ("vivid purplish red", "pink"),
        ("very dark purplish red", "purple"),
        ("greyish red", "brown"),
        ("dark greyish red", "brown"),
        ("light greyish red", "pink"),
        ("greyish purplish red", "pink"),
        ("moderate red", "red"),
        ("dark red", "red"),
        ("deep reddish orange", "red"),
        ("dark greyish yellow", "brown"),
        ("dark greenish yellow", "olive"),
        ("dark orange yellow", "yellow"),
        ("vivid violet", "purple"),
        ("pale purplish blue", "blue"),
        ("pinkish white", "white"),
        ("medium grey", "grey"),
        ("blackish blue", "blue"),
        ("bluish black", "black"),
    ],
)
def test_plain_words(name, plain):
    assert {known.plain for known in known_names()[0] if known.name == name} == {plain}


@pytest.mark.parametrize(
    ("shown", "plain", "published"),
    [
        ("#64332e", "brown", "dark red"),  # crimson over moss: a red brown
        ("#722f37", "red", "dark red"),  # wine
        ("#593735", "brown", "dark greyish red"),  # violet over orange
        ("#5a2e35", "brown", "dark red"),  # violet over scarlet
        ("#573246", "purple", "dark reddish purple"),
        ("#572944", "purple", "dark purplish red"),  # violet over crimson
        ("#ca3426", "red", "deep reddish orange"),  # scarlet over lemon
        ("#323f36", "green", "dark greyish olive green"),
        ("#b9aef0", "purple", "very light purplish blue"),  # lilac
        ("#c2ac99", "brown", "brownish pink"),  # beige
    ],
)
def test_a_published_name_may_reach_over_two_plain_words(shown, plain, published):
    """Judged by eye; the published name stays as it is."""
    assert colour_name(hex_to_lab(shown)) == ColourName(name=published, plain=plain)


@pytest.mark.parametrize(
    ("shown", "plain"),
    [
        ("#ffffff", "white"),
        ("#000000", "black"),
        ("#808080", "grey"),
        ("#f1ede2", "white"),
        ("#e8408c", "pink"),
        ("#c01020", "red"),
        ("#f08020", "orange"),
        ("#6b4423", "brown"),
        ("#f0d92e", "yellow"),
        ("#5b5a2c", "olive"),
        ("#2e8b4a", "green"),
        ("#1c3f94", "blue"),
        ("#6a2c91", "purple"),
        ("#a3c93a", "yellow-green"),
        ("#1aa7b8", "blue-green"),
    ],
)
def test_everyday_colours(shown, plain):
    assert colour_name(hex_to_lab(shown)).plain == plain


@given(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))
def test_any_colour_has_a_name(light, red, yellow):
    found = colour_name([light, red, yellow])
    assert isinstance(found, ColourName)
    assert found.plain in PLAIN


def test_wrong_shapes_are_refused():
    with pytest.raises(ValueError, match="last axis of 3"):
        colour_names([[50, 0]])


def test_every_name_is_shown_by_its_key_and_in_english_as_it_is():
    for name in {*PLAIN, *(known.name for known in known_names()[0])}:
        assert str(name_message(name)) == name
    assert name_message("strong yellow green").key == "colour.name.strong_yellow_green"
    assert name_message("blue-green").key == "colour.plain.blue_green"


def test_dyes_over_one_another_are_named_from_the_top():
    assert layered(["straw"]) == "straw"
    assert str(layered(["straw", "discharge", "sky", "ink"])) == "ink over sky over bleach over straw"
