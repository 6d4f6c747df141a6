"""Pots that were renamed, in a document."""

from __future__ import annotations

from batiksim.changes.verbs import apply_changes, by_names
from batiksim.document.undo import PotNames


def rename(old: str, new: str) -> dict[str, str]:
    return {"do": "rename_pot", "pot": old, "to": new}


def test_a_pot_is_found_by_every_name_that_it_had(document) -> None:
    document.change([rename("pale ink", "dusk")])
    document.change([rename("dusk", "night")])
    assert document.new_names == {"pale ink": "night", "dusk": "night"}
    asked = [{"do": "set_strength", "pot": "pale ink", "strength": 1}, "no change at all"]
    assert by_names(asked, document.new_names) == [asked[0] | {"pot": "night"}, "no change at all"]
    document.undo()
    assert document.new_names == {"pale ink": "dusk", "night": "dusk"}
    document.redo()
    assert document.new_names == {"pale ink": "night", "dusk": "night"}
    document.undo()
    document.change([{"do": "add_pot", "name": "pale ink", "parts": {"ink": 1}}])
    assert document.new_names == {"night": "dusk"}, "another pot has that name now"


def test_no_pot_counts_as_renamed_where_one_came_or_went(document) -> None:
    before = document.design
    after = apply_changes(before, [{"do": "add_pot", "name": "more", "parts": {"pink": 1}}])
    assert PotNames().note(before, after) == {}


def test_a_slider_is_undone_as_one_though_its_pot_is_named_anew_under_it(document) -> None:
    """A pot whose name tells its strength: the page asks by the old name until it hears of the new one."""
    document.change([{"do": "add_pot", "name": "light ink 40%", "parts": {"ink": 1}, "strength": 0.4}])
    before = document.design
    for strength in (0.8, 1.3, 0.9):
        slider = {"do": "set_strength", "pot": "light ink 40%", "strength": strength}
        document.change(by_names([slider], document.new_names))
    assert [pot.name for pot in document.design.pots] == ["pale ink", "ink 90%"]
    assert document.undo() == before
