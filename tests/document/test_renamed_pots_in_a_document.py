"""Pots that were renamed, in a document."""

from __future__ import annotations

from batiksim.document.renamed_pots import PotNames, by_names
from batiksim.document.verbs import apply_changes


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
