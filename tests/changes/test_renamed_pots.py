"""Names that pots had once, and the pots of now that they lead to."""

from __future__ import annotations

from batiksim.changes.verbs import by_names
from batiksim.document.undo import PotNames
from batiksim.values import Dye, Pot


def test_old_names_lead_to_the_pots_of_now(build):
    def named(*names):
        return build.design(pots=tuple(Pot(name=name, parts={"sun": 1}) for name in names))

    names = PotNames()
    assert names.note(named("a", "b"), named("a", "c")) == {"b": "c"}
    assert names.now(named("a", "c")) == {"b": "c"}
    assert names.note(named("a", "c"), named("a", "d")) == {"c": "d"}
    assert names.now(named("a", "d")) == {"b": "d", "c": "d"}
    assert names.now(named("a", "b", "d")) == {"c": "d"}  # b is a pot again
    assert names.now(named("a")) == {}
    assert names.note(named("a"), named("a", "x")) == {}
    assert names.now(
        build.design(
            pots=(Pot(name="d", parts={"sun": 1}),),
            dyes=(Dye(name="b", colour="#ffffff"), Dye(name="sun", colour="#ffff00")),
        )
    ) == {"c": "d"}


def test_changes_by_the_names_of_now():
    changes = [{"do": "x", "pot": "old"}, {"do": "x", "pot": "other"}, {"do": "x"}, "odd", {"pot": 3}]
    assert by_names(changes, {"old": "new"}) == [{"do": "x", "pot": "new"}, *changes[1:]]
