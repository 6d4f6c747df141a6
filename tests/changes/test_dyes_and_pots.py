"""Changes of cloth, dyes and pots as pure functions, in numbers worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from batiksim.changes import dyes_and_pots as change
from batiksim.changes.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.values import Dye, Pot, RemoveWax
from batiksim.values.pot_words import described_pot

POTS = (
    Pot(name="leaf", parts={"sun": 5, "sea": 1}, strength=0.8),
    Pot(name="mine", parts={"pink": 1}, drops={"sun": 4}, ml=50),
)


@pytest.fixture
def planned(build):
    """1 leaf and sea over the cloth, 2 wax out, 3 pink."""
    dyes = tuple(
        Dye(name=name, colour=colour) for name, colour in (("sun", "#f0d92e"), ("pink", "#d6246e"), ("sea", "#1aa7b8"))
    )
    return build.design(build.dye("leaf", "sea"), RemoveWax(), build.dye("pink"), dyes=dyes, pots=POTS)


def asked(**entries):
    return RequestFields(entries)


def pot(design, name):
    return next(one for one in design.pots if one.name == name)


def names(design):
    return [one.name for one in design.pots]


def painted(design):
    return [[paint.pot for paint in step.paints] for step in design.steps if hasattr(step, "paints")]


def test_title_and_cloth(planned):
    assert change.set_title(planned, asked(title="  Tide ")).title == "Tide"
    with pytest.raises(BatikError, match="title: is too long .*200"):
        change.set_title(planned, asked(title="x" * 201))
    cloth = change.set_cloth(planned, asked(width_mm=300, colour="#eeeedd", grams_per_m2=90)).cloth
    assert (cloth.width_mm, cloth.colour, cloth.grams_per_m2) == (300, "#eeeedd", 90)
    assert change.set_cloth(planned, asked()) == planned


@pytest.mark.parametrize(
    ("key", "good", "bad"), [("width_mm", (10, 20_000), (9.9, 20_001)), ("grams_per_m2", (10, 2_000), (9.9, 2_001))]
)
def test_bounds_of_the_cloth(planned, key, good, bad):
    for value in good:
        assert getattr(change.set_cloth(planned, asked(**{key: value})).cloth, key) == value
    for value in bad:
        with pytest.raises(BatikError, match=f"{key}: out of range .*use a number from {good[0]} to {good[1]}"):
            change.set_cloth(planned, asked(**{key: value}))


def test_a_plain_dye_becomes_a_pot_that_its_baths_use(planned):
    after = change.as_pot(planned, "sea")
    assert names(after) == ["leaf", "mine", "sea pot"]
    assert pot(after, "sea pot").parts == {"sea": 1.0}
    assert painted(after) == [["leaf", "sea pot"], ["pink"]]
    assert change.as_pot(after, "sea pot") == after
    assert change.as_pot(planned, "leaf") == planned
    assert change.pot_name(planned, "sea") == "sea pot"
    assert change.pot_name(after, "sea") == "sea pot"  # no bath uses it by its own name any more
    with pytest.raises(BatikError, match="leaf"):  # it says which there are
        change.as_pot(planned, "nothing")


def test_a_name_that_is_taken_gets_a_number(planned):
    taken = change.add_pot(planned, asked(name="sea pot", parts={"sun": 1}))
    assert change.pot_name(taken, "sea") == "sea pot 2"
    more = change.add_pot(taken, asked(name="sea pot", parts={"sun": 1}, strength=2))
    assert names(more)[2:] == ["sea pot", "sea pot 2"]
    assert [one.strength for one in more.pots[2:]] == [1, 2]
    assert names(change.add_pot(more, asked(name="sea pot", parts={"sun": 1})))[-1] == "sea pot 3"
    assert names(change.add_pot(planned, asked(name="sun", parts={"sun": 1})))[-1] == "sun 2"  # a dye's name too


def test_strength_parts_drops_and_recipe(planned):
    assert pot(change.set_strength(planned, asked(pot="leaf", strength=4)), "leaf").strength == 4
    for wrong in (-0.1, 4.1):
        for give in (
            lambda value: change.set_strength(planned, asked(pot="leaf", strength=value)),
            lambda value: change.set_recipe(planned, asked(pot="leaf", parts={"sea": 3}, strength=value)),
            lambda value: change.add_pot(planned, asked(name="new", parts={"sea": 3}, strength=value)),
        ):
            with pytest.raises(BatikError, match="strength: out of range .*from 0 to 4"):
                give(wrong)
            assert [give(value) == planned for value in (0, 4)] == [False, False]
    mixed = change.set_parts(planned, asked(pot="leaf", parts={"sun": 2, "sea": 0, "pink": 0.5}))
    assert pot(mixed, "leaf").parts == {"sun": 2, "pink": 0.5}
    dropped = pot(change.set_drops(planned, asked(pot="leaf", drops={"pink": 6, "sea": 0}, ml=100)), "leaf")
    assert (dropped.drops, dropped.ml, dropped.parts) == ({"pink": 6}, 100, {"sun": 5, "sea": 1})
    assert pot(change.set_drops(planned, asked(pot="mine", drops={})), "mine").ml is None
    anew = pot(change.set_recipe(planned, asked(pot="mine", parts={"sea": 3}, strength=0.5)), "mine")
    assert (anew.parts, anew.drops, anew.ml, anew.strength) == ({"sea": 3}, {}, None, 0.5)
    plain = change.set_strength(planned, asked(pot="sea", strength=0.5))
    assert (painted(plain)[0], pot(plain, "sea pot").strength) == (["leaf", "sea pot"], 0.5)


def test_where_a_pot_is_used(planned):
    assert [change.used_in(planned, name) for name in ("leaf", "sea", "pink", "mine", "sun")] == [[1], [1], [3], [], []]


def test_only_what_nothing_uses_is_put_away(planned):
    assert names(change.remove_pot(planned, asked(pot="mine"))) == ["leaf"]
    with pytest.raises(BatikError, match="leaf: is still used in step 1; take it out of that step"):
        change.remove_pot(planned, asked(pot="leaf"))
    with pytest.raises(BatikError, match="pink: is still used in step 3"):
        change.remove_dye(planned, asked(dye="pink"))
    with pytest.raises(BatikError, match="sun: is still used in the pot “leaf”; take it out of that pot"):
        change.remove_dye(planned, asked(dye="sun"))
    more = change.add_dye(planned, asked(name="ink", colour="#111122"))
    assert [dye.name for dye in more.dyes] == ["sun", "pink", "sea", "ink"]
    assert change.remove_dye(more, asked(dye="ink")) == planned


def test_a_pot_gets_another_name_everywhere(planned):
    after = change.rename_pot(planned, asked(pot="leaf", to="moss"))
    assert (names(after), painted(after)) == (["moss", "mine"], [["moss", "sea"], ["pink"]])
    assert change.rename_pot(planned, asked(pot="leaf", to="leaf")) == planned
    with pytest.raises(BatikError, match="pot: is a dye, not a pot"):
        change.rename_pot(planned, asked(pot="sea", to="moss"))
    for taken in ("mine", "sun"):
        with pytest.raises(BatikError, match="name: this name is taken"):
            change.rename_pot(planned, asked(pot="leaf", to=taken))


def test_dyes_come_by_colour_or_from_the_built_in_book(planned):
    assert change.add_dye(planned, asked(name="ink", colour="#111122")).dyes[-1] == Dye(name="ink", colour="#111122")
    from batiksim.files.toml.dyebooks import DEMO, read_book

    entry = read_book(DEMO).entries[0]
    assert change.add_dye(planned, asked(name=entry.name)).dyes[-1] == entry.dye(DEMO)
    own = Dye(name="rust", colour="#aa5533")
    assert change.add_dye(planned, asked(name="rust", made=own)).dyes[-1] is own
    with pytest.raises(BatikError):
        change.add_dye(planned, asked(name="no such dye"))


def test_names_are_of_two_hundred_letters_at_most(planned):
    name = "x" * 200
    assert change.set_title(planned, asked(title=name)).title == name
    assert names(change.rename_pot(planned, asked(pot="leaf", to=name)))[0] == name
    assert names(change.add_pot(planned, asked(name=name, parts={"sun": 1})))[-1] == name
    assert change.add_dye(planned, asked(name=name, colour="#111122")).dyes[-1].name == name
    for wrong in (
        lambda: change.set_title(planned, asked(title=name + "x")),
        lambda: change.rename_pot(planned, asked(pot="leaf", to=name + "x")),
        lambda: change.add_pot(planned, asked(name=name + "x", parts={"sun": 1})),
        lambda: change.add_dye(planned, asked(name=name + "x", colour="#111122")),
    ):
        with pytest.raises(BatikError, match="is too long .*200"):
            wrong()


def test_drops_go_into_a_tenth_of_a_millilitre_or_more(planned):
    for ml in (0.1, 1_000_000):
        assert pot(change.set_drops(planned, asked(pot="leaf", drops={"sun": 1}, ml=ml)), "leaf").ml == ml
    for ml in (0.09, 1_000_001):
        with pytest.raises(BatikError, match="ml: out of range"):
            change.set_drops(planned, asked(pot="leaf", drops={"sun": 1}, ml=ml))


def test_pots_that_say_what_is_in_them_are_named_anew_with_it(planned):
    """A name of the maker's own stays, and so does one of an empty pot, which says nothing."""
    start = change.add_pot(planned, asked(name="x", parts={"sun": 1}, strength=0.4))
    said = described_pot(start.pots[-1].loads())
    start = change.rename_pot(start, asked(pot="x", to=said))
    stronger = change.set_strength(start, asked(pot=said, strength=0.9))
    assert names(stronger)[:2] == ["leaf", "mine"]
    assert names(stronger)[2] == described_pot(stronger.pots[2].loads()) != said
    assert names(change.set_strength(start, asked(pot=said, strength=0)))[2] == said
    some = change.set_recipe(start, asked(pot=said, parts={"sun": 1, "sea": 0}, strength=0.9))
    assert names(some)[2] == names(stronger)[2]
    taken = change.add_pot(start, asked(name=names(stronger)[2], parts={"sea": 1}))
    assert names(change.set_strength(taken, asked(pot=said, strength=0.9)))[2] == f"{names(stronger)[2]} 2"


def test_a_numbered_pot_of_a_dye_follows_it_and_longer_names_stay(planned):
    more = planned
    for name in ("sea pot", "sea pot", "sea pot of mine"):
        more = change.add_pot(more, asked(name=name, parts={"sea": 1}))
    assert names(more)[2:] == ["sea pot", "sea pot 2", "sea pot of mine"]
    after = change.swap_dye(more, asked(dye="sea", name="ink", colour="#111122"))
    assert names(after)[2:] == ["ink pot", "ink pot 2", "sea pot of mine"]


def test_a_pot_of_a_dye_is_the_one_that_a_bath_uses(planned):
    """A pot that only begins like it, holds no such dye or isn't used is another."""
    plain = change.as_pot(planned, "sea")
    assert change.pot_name(plain, "sea") == "sea pot"
    unused = replace(plain, steps=())
    assert change.pot_name(unused, "sea") == "sea pot 2"
    other = change.set_parts(plain, asked(pot="sea pot", parts={"sun": 1}))
    assert change.pot_name(other, "sea") == "sea pot 2"


def test_a_dye_takes_anothers_place_in_pots_and_baths(planned):
    after = change.swap_dye(planned, asked(dye="sea", name="ink", colour="#111122"))
    assert [dye.name for dye in after.dyes] == ["sun", "pink", "ink"]
    assert pot(after, "leaf").parts == {"sun": 5, "ink": 1}
    assert painted(after) == [["leaf", "ink"], ["pink"]]
    there = change.swap_dye(planned, asked(dye="sea", name="sun", colour="#f0d92e"))
    assert [dye.name for dye in there.dyes] == ["pink", "sun"]
    assert pot(there, "leaf").parts == {"sun": 6}  # five and one
    assert painted(there) == [["leaf", "sun"], ["pink"]]
    drops = change.swap_dye(planned, asked(dye="sun", name="ink", colour="#111122"))
    assert pot(drops, "mine").drops == {"ink": 4}
    brighter = change.swap_dye(planned, asked(dye="sea", name="sea", colour="#00ffff"))
    assert [dye.colour for dye in brighter.dyes if dye.name == "sea"] == ["#00ffff"]
    assert painted(brighter) == painted(planned)


def test_a_name_that_says_what_is_in_the_pot_follows(planned):
    """ "sea pot" holds ink now, so it is "ink pot"; a pot of the maker's own name keeps it."""
    used = change.as_pot(planned, "sea")
    after = change.swap_dye(used, asked(dye="sea", name="ink", colour="#111122"))
    assert names(after) == ["leaf", "mine", "ink pot"]
    assert painted(after)[0] == ["leaf", "ink pot"]
