"""The maker's own dyes, out of the book beside the design."""

from __future__ import annotations

from batiksim.document.document import Document
from batiksim.document.own_dyes import all_dyes, own_dyes, with_own_dyes
from batiksim.document.uploads.clicked_patches import OWN_BOOK
from batiksim.files.toml.dyebooks import DEMO, read_book, write_book
from batiksim.values import BookDye, DyeBook
from tests.document.conftest import write_ink


def test_her_own_book_is_the_one_of_that_name_beside_the_design(folder) -> None:
    document = Document.open(folder)
    assert own_dyes(document) == {}
    write_ink(folder, OWN_BOOK, "#553c2a", tick=1000)
    assert own_dyes(document)["ink"].book == OWN_BOOK
    dyes = {dye["name"]: dye for dye in all_dyes(document)}
    assert dyes["ink"]["own"]
    assert not dyes["magenta"]["own"]
    document.change(with_own_dyes(document, [{"do": "swap_dye", "dye": "ink", "name": "ink", "own": True}]))
    assert document.design.dyes[1].book == OWN_BOOK
    (folder / OWN_BOOK).write_text("title = ", encoding="utf-8")
    assert own_dyes(document) == {}, "she is editing it just now"
    document.close()


def test_a_sample_or_a_cloth_without_a_book_has_no_dyes_of_her_own(folder, tmp_path) -> None:
    sample = Document.open_sample(tmp_path / "home")
    assert own_dyes(sample) == {}
    sample.close()
    document = Document.open(folder)
    (folder / OWN_BOOK).mkdir()
    assert own_dyes(document) == {}
    document.close()


def test_each_dye_is_shown_once_as_it_dries_on_this_cloth_her_own_first(folder) -> None:
    document = Document.open(folder)
    built_in = [dye.name for dye in read_book(DEMO).dyes]
    shown = all_dyes(document)
    assert [dye["name"] for dye in shown] == built_in
    assert not any(dye["own"] for dye in shown)
    first, second = built_in[:2]
    colours = {first: "#553c2a", "rust": "#aa5533"}
    entries = tuple(BookDye(name=name, colour=colour) for name, colour in colours.items())
    write_book(DyeBook(name=OWN_BOOK, title="Mine", entries=entries), folder / OWN_BOOK)
    again = all_dyes(document)
    assert [dye["name"] for dye in again] == [first, "rust", *built_in[1:]]
    assert [dye["own"] for dye in again] == [True, True] + [False] * (len(built_in) - 1)
    assert again[2] == next(dye for dye in shown if dye["name"] == second), "as before, and not her own"
    assert again[0]["hex"] != shown[0]["hex"]
    document.change([{"do": "set_cloth", "colour": "#998877"}])
    assert all_dyes(document)[2]["hex"] != again[2]["hex"], "another cloth shines through"
    document.close()


def test_changes_are_by_the_names_of_now_and_with_her_own_dyes_in_them(folder) -> None:
    document = Document.open(folder)
    write_ink(folder, OWN_BOOK, "#553c2a", tick=1000)
    document.change([{"do": "rename_pot", "pot": "pale ink", "to": "dusk"}])
    thinner = {"do": "set_strength", "pot": "pale ink", "strength": 0.3}
    plain, mine = ({"do": "add_dye", "name": "ink", "own": own} for own in (False, True))
    assert with_own_dyes(document, [thinner, plain, "odd"]) == [thinner | {"pot": "dusk"}, plain, "odd"]
    assert with_own_dyes(document, []) == []
    changes = with_own_dyes(document, [thinner, mine, "odd"])
    assert changes == [thinner | {"pot": "dusk"}, mine | {"made": own_dyes(document)["ink"]}, "odd"]
    document.close()
