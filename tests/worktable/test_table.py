"""The table without a browser: changes as pure functions, undo and redo, saving, frames that equal the preview's."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from batiksim import jobs
from batiksim.document.document import Table, free_folder
from batiksim.document.frames.frames import View
from batiksim.document.frames.mask_cache import mask_use
from batiksim.document.own_dyes import own_dyes, with_own_dyes
from batiksim.document.request_fields import Asked
from batiksim.document.touchup import stroked
from batiksim.document.uploads.clicked_patches import OWN_BOOK, of_photo, strip_text
from batiksim.document.uploads.pictures import MASKS
from batiksim.document.verbs import VERBS, blank, change_words, changed
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Cloth, Discharge, Dye, DyeBath, DyeBook, Paint, Pot, RemoveWax, Undyed, Wax
from batiksim.worktable.long_jobs import WORKS
from batiksim.worktable.newest import Newest, Superseded
from batiksim.worktable.routes import ANSWERS
from batiksim.worktable.session import Desk
from batiksim.worktable.tasks import Done, Made, Tasks
from tests.waiting import until


@pytest.fixture
def table(muddy):
    opened = Table.open(muddy)
    yield opened
    opened.close()


@pytest.mark.parametrize("step", [0, 1, 2, 3, None])
def test_a_frame_is_the_previews_plate(table, muddy, tmp_path, step) -> None:
    jobs.save_preview(muddy, tmp_path / "out")
    name = "cloth.png" if step is None else f"plate-{step:02d}.png"
    plate = np.asarray(Image.open(tmp_path / "out" / name).convert("RGB"))
    frame = table.frames.frame(table.design, View(step=step, width=400)).pixels
    np.testing.assert_array_equal(frame[..., :3], plate)
    assert (frame[..., 3] == 255).all()


def test_undo_and_redo_lead_through_everything(table) -> None:
    changes = [
        {"do": "title", "title": "Other"},
        {"do": "move", "step": 3, "to": 2},
        {"do": "strength", "pot": "pale ink", "strength": 1.5},
        {"do": "strength", "pot": "pink", "strength": 0.5},
        {"do": "remove", "step": 5},
        {"do": "swap_dye", "dye": "leaf", "name": "moss"},
        {"do": "wax", "step": 2, "crackle": 0.4, "grey": "thin"},
        {"do": "paint", "step": 1, "paint": 1, "spread": True, "reach_mm": 2},
    ]
    seen = [table.design]
    for change in changes:
        seen.append(table.change([change]))
    assert len(set(map(repr, seen))) == len(seen), "each did something"
    for before in reversed(seen[:-1]):
        assert table.undo() == before
    assert table.undo() == seen[0]
    for after in seen[1:]:
        assert table.redo() == after
    table.undo()
    table.change([{"do": "title", "title": "A new way"}])
    assert table.redo_words is None


@pytest.mark.parametrize(
    "change",
    [
        {"do": "strength", "pot": "strong pink", "strength": 0.5},  # makes a pot of a dye that was used by its own name
        {"do": "rename", "pot": "young leaf", "to": "dusk"},
        {"do": "swap_dye", "dye": "strong pink", "name": "moss"},
        {"do": "paint", "step": 2, "paint": 1, "spread": True},
        {"do": "add_paint", "step": 2, "pot": "young leaf"},
        {"do": "drop_paint", "step": 2, "paint": 2},
        {"do": "mask", "step": 2, "where": {"picture": "keep-petals.png"}},
        {"do": "wax", "step": 1, "crackle": 0.4},
        {"do": "bleach", "step": 4, "strength": 0.4},
    ],
    ids=lambda change: change["do"],
)
def test_the_makers_notes_of_steps_outlast_every_change(muddy_design, change) -> None:
    waxing, discharge = next(s for s in muddy_design.steps if isinstance(s, Wax)), Discharge(note="bleach")
    baths = [s for s in muddy_design.steps if isinstance(s, DyeBath)]
    two = replace(baths[0], paints=(*baths[0].paints, Paint(pot="strong pink")), note="two pots")
    noted = (replace(waxing, note="wax"), two, replace(baths[1], note="bath"), discharge, RemoveWax(note="out"))
    design = replace(muddy_design, steps=noted)
    after = changed(design, [change])
    assert after != design
    assert [step.note for step in after.steps] == ["wax", "two pots", "bath", "bleach", "out"]


def test_presses_of_one_slider_are_undone_together(table) -> None:
    before = table.design
    for strength in (0.6, 0.65, 0.7):
        table.change([{"do": "strength", "pot": "pale ink", "strength": strength}])
    assert table.undo() == before


def test_a_change_that_cannot_be_made_leaves_all_as_it_was(table) -> None:
    before, revision = table.design, table.revision
    for change in (
        {"do": "strength", "pot": "nobody", "strength": 1},
        {"do": "drop_pot", "pot": "pale ink"},
        {"do": "drop_dye", "dye": "ink"},
        {"do": "wax", "step": 1, "crackle": 0.2},
        {"do": "rename", "pot": "pale ink", "to": "pink"},
    ):
        with pytest.raises(BatikError):
            table.change([{"do": "title", "title": "Half"}, change])
    assert table.design == before
    assert table.revision == revision


@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5)), max_size=6))
@settings(max_examples=30, deadline=None)
def test_moving_steps_keeps_them_all(muddy_design, moves) -> None:
    design = muddy_design
    for step, to in moves:
        design = changed(design, [{"do": "move", "step": step, "to": to}])
        assert design.steps[to - 1] in muddy_design.steps
    assert sorted(map(repr, design.steps)) == sorted(map(repr, muddy_design.steps))


@pytest.fixture(scope="module")
def muddy_design(tmp_path_factory):
    from batiksim.files.starter import starter_folder

    design = read_design(starter_folder())
    return replace(design, steps=(*design.steps, *design.steps)[:5])


def test_every_verb_says_what_it_did(table) -> None:
    names = {"pot": "pale ink", "dye": "ink", "name": "moss", "to": "x", "title": "t", "step": 1, "paint": 1}
    for verb in VERBS:
        assert change_words(table.design, [{"do": verb} | names])


def test_a_dye_used_by_its_own_name_becomes_a_pot_when_it_is_thinned(table) -> None:
    table.change([{"do": "strength", "pot": "pink", "strength": 0.4}])
    design = table.design
    assert Pot(name="pink pot", parts={"pink": 1.0}, strength=0.4) in design.pots
    assert isinstance(design.steps[1], DyeBath)
    assert design.steps[1].paints[0].pot == "pink pot"


def test_fast_presses_on_a_plain_dye_make_one_pot_of_the_last_strength(table) -> None:
    before = table.design
    for strength in (0.95, 0.9, 0.85):
        table.change([{"do": "strength", "pot": "pink", "strength": strength}])
    assert [pot for pot in table.design.pots if "pink" in pot.dyes] == [
        Pot(name="pink pot", parts={"pink": 1.0}, strength=0.85)
    ]
    table.change([{"do": "parts", "pot": "pink", "parts": {"pink": 1, "leaf": 0.1}}])
    table.change([{"do": "parts", "pot": "pink", "parts": {"pink": 1, "leaf": 0.2}}])
    assert dict(table.design.pot("pink pot").parts) == {"pink": 1, "leaf": 0.2}
    assert len(table.design.pots) == len(before.pots) + 1


def test_a_pot_named_after_its_strength_is_renamed_with_it_under_the_hand_of_its_slider(table) -> None:
    table.change([{"do": "new_pot", "name": "light ink 40%", "parts": {"ink": 1}, "strength": 0.4}])
    table.change([{"do": "paint", "step": 2, "paint": 1, "pot": "light ink 40%"}])
    for strength in (0.8, 1.3, 0.9):  # a page that hasn't heard of any new name yet
        changes = with_own_dyes(table, [{"do": "strength", "pot": "light ink 40%", "strength": strength}])
        table.change(changes)
    assert [pot.name for pot in table.design.pots] == ["pale ink", "ink 90%"]
    assert table.design.steps[1].paints[0].pot == "ink 90%"
    assert table.new_names["light ink 40%"] == "ink 90%"
    table.undo()
    assert table.design.steps[1].paints[0].pot == "light ink 40%", "presses of one slider are undone together"
    assert table.new_names["ink 90%"] == "light ink 40%"


def test_pots_named_after_a_dye_follow_it_when_it_is_swapped(table) -> None:
    table.change([{"do": "strength", "pot": "pink", "strength": 0.4}])
    table.change(
        [{"do": "new_pot", "name": "light ink with pink 50%", "parts": {"ink": 3, "pink": 2}, "strength": 0.5}]
    )
    table.change([{"do": "swap_dye", "dye": "pink", "name": "golden yellow"}])
    names = [pot.name for pot in table.design.pots]
    assert names == ["pale ink", "golden yellow pot", "light ink with golden yellow 50%"], "her own name stays"
    assert table.design.steps[1].paints[0].pot == "golden yellow pot"


def test_the_history_says_what_of_the_cloth_was_changed_and_tells_a_run_once(muddy, tmp_path) -> None:
    desk = Desk(tmp_path, muddy)
    try:
        for width in (201, 202, 203):
            desk.table.change([{"do": "cloth", "width_mm": width}])
            desk.table.keeper.flush()
        desk.table.change([{"do": "cloth", "colour": "#eeeeee"}])
        desk.table.keeper.flush()
        told = ANSWERS["history"](desk, Asked({}))["versions"]
        assert [one["what"] for one in told] == ["the undyed colour", "the cloth's width", "as it was opened"]
        ANSWERS["restore"](desk, Asked({"key": told[1]["key"]}))
        assert desk.table.design.cloth.width_mm == 203
    finally:
        desk.close()


def test_a_plain_dye_in_a_bath_beside_its_pot_stays_another(table) -> None:
    table.change([{"do": "strength", "pot": "pink", "strength": 0.5}])
    table.change([{"do": "add", "at": 1, "step": {"kind": "dye", "pot": "pink"}}])
    table.change([{"do": "strength", "pot": "pink", "strength": 0.8}])
    assert table.design.steps[0].paints[0].pot == "pink pot 2"
    assert (table.design.pot("pink pot").strength, table.design.pot("pink pot 2").strength) == (0.5, 0.8)


def test_a_cloth_that_was_begun_is_not_emptied_by_undo(tmp_path) -> None:
    """What was laid on the table is where undo ends, and it is on disk with its masks."""
    bare = blank("Tide pools", Cloth(width_mm=200))
    pool = np.zeros((30, 40), np.uint8)
    pool[5:20, 5:20] = 255
    use = mask_use("pool", pool, folder=MASKS)
    design = replace(bare, steps=(Wax(mask=use),))
    begun = Table.begin(tmp_path, design, [("pool", pool)])
    assert begun.undo_words is None
    assert begun.undo() == design
    begun.close()
    kept = jobs.open_design(tmp_path / "tide-pools")
    assert kept.design == design
    np.testing.assert_array_equal(kept.masks[0], pool)


def test_everything_is_on_disk_after_a_flush(table, muddy) -> None:
    table.change([{"do": "title", "title": "Kept"}])
    table.touch(4, None, [(150, 100), (160, 100)], 5, erase=False)
    table.keeper.flush()
    there = jobs.open_design(muddy)
    assert there.design == table.design
    assert table.saved == table.revision
    row = np.rint(100 * 2 - 0.5).astype(int)
    assert there.masks[1][row, 310] == 255


def test_the_sample_is_copied_only_when_it_is_changed(tmp_path) -> None:
    sample = Table.open_sample(tmp_path)
    assert list(tmp_path.iterdir()) == []
    sample.change([{"do": "title", "title": "Mine"}])
    sample.close()
    assert read_design(tmp_path / "my-cloth").title == "Mine"


def test_new_folders_never_take_the_name_of_one_that_is_there(tmp_path) -> None:
    assert free_folder(tmp_path, "../../Tide pools!").name == "tide-pools"
    (tmp_path / "tide-pools").mkdir()
    assert free_folder(tmp_path, "Tide pools").name == "tide-pools-2"
    assert free_folder(tmp_path, "…").name == "my-cloth"


@pytest.mark.parametrize("width_mm", [0.8, 2.5, 12.0])
def test_a_stroke_is_as_wide_as_its_tool(width_mm: float) -> None:
    bare = np.zeros((400, 400), np.uint8)
    across = stroked(bare, [(10, 50), (90, 50)], width_mm=width_mm, px_per_mm=4)[:, 200]
    assert across.sum() / 255 / 4 == pytest.approx(width_mm, abs=0.3)
    assert not bare.any(), "the mask given is left as it was"
    full = np.full((400, 400), 255, np.uint8)
    scraped = stroked(full, [(10, 50), (90, 50)], width_mm=width_mm, px_per_mm=4, erase=True)
    np.testing.assert_array_equal(scraped, 255 - stroked(bare, [(10, 50), (90, 50)], width_mm=width_mm, px_per_mm=4))


def test_a_stroke_may_leave_the_cloth() -> None:
    mask = stroked(np.zeros((30, 40), np.uint8), [(-50, -50), (500, 400)], width_mm=3, px_per_mm=1)
    assert mask.any()


def test_only_the_newest_of_one_place_is_worth_making() -> None:
    newest = Newest()
    newest.ask("page", "now", 1)
    newest.ask("page", "now", 2)
    newest.ask("page", "other", 1)
    newest.check("page", "other", 1)
    newest.check("page", "now", 2)
    with pytest.raises(Superseded):
        newest.check("page", "now", 1)


def wait(task, *states: str) -> None:
    until(lambda: task.state in states, f"a task that is {' or '.join(states)}")


def test_a_task_that_is_stopped_while_it_waits_never_begins(tmp_path: Path) -> None:
    told: list[dict] = []
    tasks, go = Tasks(tmp_path, told.append), threading.Event()
    of = {"of": Made(table=1, moment=1, title="Tides"), "unchanged": lambda: True}
    first = tasks.start("first", lambda out, progress: (go.wait(10), Done(data={}))[1], **of)
    began: list[int] = []
    second = tasks.start("second", lambda out, progress: (began.append(1), Done(data={}))[1], **of)
    tasks.cancel(second.key)
    go.set()
    wait(first, "done")
    wait(second, "stopped")
    assert began == []
    assert [one["state"] for one in told if one["work"] == "second"] == ["stopping", "stopped"]


@pytest.mark.parametrize("value", [None, True, "3", float("nan"), float("inf"), -1, 11, [], {}])
def test_what_is_no_number_in_its_range_is_refused(value: object) -> None:
    with pytest.raises(BatikError):
        Asked({"value": value}).number("value", 0, 10)


def test_dyes_learnt_anew_are_seen_at_once_and_by_undo(table, muddy) -> None:
    """What lies on the table equals what a fresh table opens, before the new lesson and after it."""

    def book(colour: str, surface: float) -> dict[str, Dye]:
        seen_on = Undyed(colour="#efe9dd", surface=surface)
        write_book(
            DyeBook(name=OWN_BOOK, title="Mine", entries=(BookDye(name="ink", colour=colour, seen_on=seen_on),)),
            muddy / OWN_BOOK,
        )
        return own_dyes(table)

    made = book("#2a2c55", 0.02)["ink"]
    table.change([{"do": "swap_dye", "dye": "ink", "name": "ink", "made": made}])
    first = table.frames.frame(table.design, View(width=400)).pixels
    table.change([{"do": "strength", "pot": "pale ink", "strength": 0.6}])
    table.relearn(book("#553c2a", 0.04))
    table.keeper.flush()
    again = Table.open(muddy)
    assert again.design == table.design
    assert table.frames.dyes(table.design).surface == 0.04
    table.undo()
    assert table.design.dyes[2].colour == "#553c2a"
    assert not np.array_equal(table.frames.frame(table.design, View(width=400)).pixels, first)
    again.close()


def test_a_cloth_open_in_another_worktable_teaches_no_dyes_here(table, muddy, tmp_path) -> None:
    """Its book and its file are the other's to write; trying is free."""
    desk = Desk(tmp_path, muddy)
    before = muddy.joinpath("design.toml").read_bytes()
    with pytest.raises(BatikError, match="open in another worktable"):
        WORKS["calibrate"](desk, Asked({"photo": "1"}))
    with pytest.raises(BatikError, match="photo"):
        WORKS["calibrate"](desk, Asked({"photo": "1", "dry_run": True}))
    assert muddy.joinpath("design.toml").read_bytes() == before
    desk.close()


@pytest.mark.parametrize(
    ("colour", "kinds", "told", "fix"),
    [
        ((0, 2, 0), ("undyed",), "the undyed cloth looks black", "clicked it in the right place"),
        ((120, 130, 110), ("undyed",), "no dye shows", "clicked on its dye"),
        ((120, 130, 110), ("undyed", "card"), "the card and the undyed cloth", "grey card"),
        ((120, 130, 110), (), "nothing tells how bright", "click bare, undyed cloth"),
    ],
)
def test_what_is_wrong_with_clicked_patches_is_told_as_they_were_clicked(tmp_path, colour, kinds, told, fix) -> None:
    patches = [{"x": 0.2, "y": 0.5, "side": 0.1, "dyes": {"ink": 1}}]
    patches += [{"x": 0.5 + 0.2 * place, "y": 0.5, "side": 0.1, kind: True} for place, kind in enumerate(kinds)]
    strip, photo = tmp_path / "strip.toml", tmp_path / "photo.png"
    strip.write_text(
        strip_text((300, 400), Asked({"cloth": "#f1ede2", "patches": patches}), cloth_assumed=False), encoding="utf-8"
    )
    Image.new("RGB", (400, 300), colour).save(photo)
    with pytest.raises(BatikError, match=told) as caught:
        jobs.calibrate_book(tmp_path / "book.toml", picture=photo, strip=strip)
    mended = of_photo(caught.value, "photo.png")
    assert fix in mended.fix
    assert mended.file == "photo.png"
    assert mended.field is None
