"""The document without a browser: changes as pure functions, undo and redo, saving, frames that equal the preview's."""

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
from batiksim.changes.new_masks import mask_use
from batiksim.changes.request_fields import RequestFields
from batiksim.changes.verbs import VERBS, apply_changes, change_words
from batiksim.document.document import Document, free_folder
from batiksim.document.frames.frames import View
from batiksim.document.own_dyes import own_dyes, with_own_dyes
from batiksim.document.touchup import draw_stroke
from batiksim.document.uploads.clicked_patches import OWN_BOOK, photo_error, strip_text
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Cloth, Design, Discharge, Dye, DyeBath, DyeBook, Paint, Pot, RemoveWax, Undyed, Wax
from batiksim.worktable.long_jobs import LONG_JOBS
from batiksim.worktable.routes import ROUTES
from batiksim.worktable.session import LatestOnly, Session, Superseded
from batiksim.worktable.tasks import SourceCloth, TaskResult, Tasks
from tests.waiting import until


@pytest.fixture
def document(muddy):
    opened = Document.open(muddy)
    yield opened
    opened.close()


@pytest.mark.full
@pytest.mark.parametrize("step", [0, 1, 2, 3, None])
def test_a_frame_is_the_previews_plate(document, muddy, tmp_path, step) -> None:
    jobs.save_preview(muddy, tmp_path / "out")
    name = "cloth.png" if step is None else f"plate-{step:02d}.png"
    plate = np.asarray(Image.open(tmp_path / "out" / name).convert("RGB"))
    frame = document.frames.frame(document.design, View(step=step, width=400))
    np.testing.assert_array_equal(frame[..., :3], plate)
    assert (frame[..., 3] == 255).all()


def test_undo_and_redo_lead_through_everything(document) -> None:
    changes = [
        {"do": "set_title", "title": "Other"},
        {"do": "move_step", "step": 3, "to": 2},
        {"do": "set_strength", "pot": "pale ink", "strength": 1.5},
        {"do": "set_strength", "pot": "pink", "strength": 0.5},
        {"do": "remove_step", "step": 5},
        {"do": "swap_dye", "dye": "leaf", "name": "moss"},
        {"do": "set_wax", "step": 2, "crackle": 0.4, "grey": "thin"},
        {"do": "set_paint", "step": 1, "paint": 1, "spread": True, "reach_mm": 2},
    ]
    seen = [document.design]
    for change in changes:
        seen.append(document.change([change]))
    assert len(set(seen)) == len(seen), "each did something"
    for before in reversed(seen[:-1]):
        assert document.undo() == before
    assert document.undo() == seen[0]
    for after in seen[1:]:
        assert document.redo() == after
    document.undo()
    document.change([{"do": "set_title", "title": "A new way"}])
    assert document.stack.redo_words is None


@pytest.mark.parametrize(
    "change",
    [
        {
            "do": "set_strength",
            "pot": "strong pink",
            "strength": 0.5,
        },  # makes a pot of a dye that was used by its own name
        {"do": "rename_pot", "pot": "young leaf", "to": "dusk"},
        {"do": "swap_dye", "dye": "strong pink", "name": "moss"},
        {"do": "set_paint", "step": 2, "paint": 1, "spread": True},
        {"do": "add_paint", "step": 2, "pot": "young leaf"},
        {"do": "remove_paint", "step": 2, "paint": 2},
        {"do": "set_mask", "step": 2, "where": {"picture": "keep-petals.png"}},
        {"do": "set_wax", "step": 1, "crackle": 0.4},
        {"do": "set_discharge", "step": 4, "strength": 0.4},
    ],
    ids=lambda change: change["do"],
)
def test_the_makers_notes_of_steps_outlast_every_change(muddy_design, change) -> None:
    waxing, discharge = next(s for s in muddy_design.steps if isinstance(s, Wax)), Discharge(note="bleach")
    baths = [s for s in muddy_design.steps if isinstance(s, DyeBath)]
    two = replace(baths[0], paints=(*baths[0].paints, Paint(pot="strong pink")), note="two pots")
    noted = (replace(waxing, note="wax"), two, replace(baths[1], note="bath"), discharge, RemoveWax(note="out"))
    design = replace(muddy_design, steps=noted)
    after = apply_changes(design, [change])
    assert after != design
    assert [step.note for step in after.steps] == ["wax", "two pots", "bath", "bleach", "out"]


def test_presses_of_one_slider_are_undone_together(document) -> None:
    before = document.design
    for strength in (0.6, 0.65, 0.7):
        document.change([{"do": "set_strength", "pot": "pale ink", "strength": strength}])
    assert document.undo() == before


def test_a_change_that_cannot_be_made_leaves_all_as_it_was(document) -> None:
    before, revision = document.design, document.revision
    for change in (
        {"do": "set_strength", "pot": "nobody", "strength": 1},
        {"do": "remove_pot", "pot": "pale ink"},
        {"do": "remove_dye", "dye": "ink"},
        {"do": "set_wax", "step": 1, "crackle": 0.2},
        {"do": "rename_pot", "pot": "pale ink", "to": "pink"},
    ):
        with pytest.raises(BatikError):
            document.change([{"do": "set_title", "title": "Half"}, change])
    assert document.design == before
    assert document.revision == revision


@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5)), max_size=6))
@settings(max_examples=30, deadline=None)
def test_moving_steps_keeps_them_all(muddy_design, moves) -> None:
    design = muddy_design
    for step, to in moves:
        design = apply_changes(design, [{"do": "move_step", "step": step, "to": to}])
        assert design.steps[to - 1] in muddy_design.steps
    assert sorted(map(repr, design.steps)) == sorted(map(repr, muddy_design.steps))


@pytest.fixture(scope="module")
def muddy_design(tmp_path_factory):
    from batiksim.files.starter import STARTER

    design = read_design(STARTER)
    return replace(design, steps=(*design.steps, *design.steps)[:5])


def test_every_verb_says_what_it_did(document) -> None:
    names = {"pot": "pale ink", "dye": "ink", "name": "moss", "to": "x", "title": "t", "step": 1, "paint": 1}
    for verb in VERBS:
        new = {"step": {"kind": "wax"}} if verb == "add_step" else {}
        assert str(change_words(document.design, [{"do": verb} | names | new]))


def test_a_dye_used_by_its_own_name_becomes_a_pot_when_it_is_thinned(document) -> None:
    document.change([{"do": "set_strength", "pot": "pink", "strength": 0.4}])
    design = document.design
    assert Pot(name="pink pot", parts={"pink": 1.0}, strength=0.4) in design.pots
    assert isinstance(design.steps[1], DyeBath)
    assert design.steps[1].paints[0].pot == "pink pot"


def test_fast_presses_on_a_plain_dye_make_one_pot_of_the_last_strength(document) -> None:
    before = document.design
    for strength in (0.95, 0.9, 0.85):
        document.change([{"do": "set_strength", "pot": "pink", "strength": strength}])
    assert [pot for pot in document.design.pots if "pink" in pot.dyes] == [
        Pot(name="pink pot", parts={"pink": 1.0}, strength=0.85)
    ]
    document.change([{"do": "set_parts", "pot": "pink", "parts": {"pink": 1, "leaf": 0.1}}])
    document.change([{"do": "set_parts", "pot": "pink", "parts": {"pink": 1, "leaf": 0.2}}])
    assert dict(document.design.pot("pink pot").parts) == {"pink": 1, "leaf": 0.2}
    assert len(document.design.pots) == len(before.pots) + 1


def test_a_pot_named_after_its_strength_is_renamed_with_it_under_the_hand_of_its_slider(document) -> None:
    document.change([{"do": "add_pot", "name": "light ink 40%", "parts": {"ink": 1}, "strength": 0.4}])
    document.change([{"do": "set_paint", "step": 2, "paint": 1, "pot": "light ink 40%"}])
    for strength in (0.8, 1.3, 0.9):  # a page that hasn't heard of any new name yet
        changes = with_own_dyes(document, [{"do": "set_strength", "pot": "light ink 40%", "strength": strength}])
        document.change(changes)
    assert [pot.name for pot in document.design.pots] == ["pale ink", "ink 90%"]
    assert document.design.steps[1].paints[0].pot == "ink 90%"
    assert document.new_names["light ink 40%"] == "ink 90%"
    document.undo()
    assert document.design.steps[1].paints[0].pot == "light ink 40%", "presses of one slider are undone together"
    assert document.new_names["ink 90%"] == "light ink 40%"


def test_pots_named_after_a_dye_follow_it_when_it_is_swapped(document) -> None:
    document.change([{"do": "set_strength", "pot": "pink", "strength": 0.4}])
    document.change(
        [{"do": "add_pot", "name": "light ink with pink 50%", "parts": {"ink": 3, "pink": 2}, "strength": 0.5}]
    )
    document.change([{"do": "swap_dye", "dye": "pink", "name": "golden yellow"}])
    names = [pot.name for pot in document.design.pots]
    assert names == ["pale ink", "golden yellow pot", "light ink with golden yellow 50%"], "her own name stays"
    assert document.design.steps[1].paints[0].pot == "golden yellow pot"


def test_the_history_says_what_of_the_cloth_was_changed_and_tells_a_run_once(muddy, tmp_path) -> None:
    session = Session(tmp_path, muddy)
    try:
        for width in (201, 202, 203):
            session.document.change([{"do": "set_cloth", "width_mm": width}])
            session.document.autosave.flush()
        session.document.change([{"do": "set_cloth", "colour": "#eeeeee"}])
        session.document.autosave.flush()
        told = ROUTES["history"](session, RequestFields({}))["versions"]
        assert [one["what"] for one in told] == [
            "Changed the undyed colour", "Changed the cloth's width", "As it was when you opened it"
        ]  # fmt: skip
        ROUTES["restore"](session, RequestFields({"key": told[1]["key"]}))
        assert session.document.design.cloth.width_mm == 203
    finally:
        session.close()


def test_a_plain_dye_in_a_bath_beside_its_pot_stays_another(document) -> None:
    document.change([{"do": "set_strength", "pot": "pink", "strength": 0.5}])
    document.change([{"do": "add_step", "at": 1, "step": {"kind": "dye", "pot": "pink"}}])
    document.change([{"do": "set_strength", "pot": "pink", "strength": 0.8}])
    assert document.design.steps[0].paints[0].pot == "pink pot 2"
    assert (document.design.pot("pink pot").strength, document.design.pot("pink pot 2").strength) == (0.5, 0.8)


def test_a_cloth_that_was_begun_is_not_emptied_by_undo(tmp_path) -> None:
    """What was laid on the table is where undo ends, and it is on disk with its masks."""
    bare = Design(title="Tide pools", cloth=Cloth(width_mm=200))
    pool = np.zeros((30, 40), np.uint8)
    pool[5:20, 5:20] = 255
    use = mask_use("pool", pool)
    design = replace(bare, steps=(Wax(mask=use),))
    begun = Document.create(tmp_path, design, [("pool", pool)])
    assert begun.stack.undo_words is None
    assert begun.undo() == design
    begun.close()
    kept = jobs.open_design(tmp_path / "tide-pools")
    assert kept.design == design
    np.testing.assert_array_equal(kept.masks[0], pool)


def test_everything_is_on_disk_after_a_flush(document, muddy) -> None:
    document.change([{"do": "set_title", "title": "Kept"}])
    document.touch_up(4, None, [(150, 100), (160, 100)], 5, erase=False)
    document.autosave.flush()
    there = jobs.open_design(muddy)
    assert there.design == document.design
    assert document.saved == document.revision
    row = np.rint(100 * 2 - 0.5).astype(int)
    assert there.masks[1][row, 310] == 255


def test_the_sample_is_copied_only_when_it_is_changed(tmp_path) -> None:
    sample = Document.open_sample(tmp_path)
    assert list(tmp_path.iterdir()) == []
    sample.change([{"do": "set_title", "title": "Mine"}])
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
    across = draw_stroke(bare, [(10, 50), (90, 50)], width_mm=width_mm, px_per_mm=4)[:, 200]
    assert across.sum() / 255 / 4 == pytest.approx(width_mm, abs=0.3)
    assert not bare.any(), "the mask given is left as it was"
    full = np.full((400, 400), 255, np.uint8)
    scraped = draw_stroke(full, [(10, 50), (90, 50)], width_mm=width_mm, px_per_mm=4, erase=True)
    np.testing.assert_array_equal(
        scraped, 255 - draw_stroke(bare, [(10, 50), (90, 50)], width_mm=width_mm, px_per_mm=4)
    )


def test_a_stroke_may_leave_the_cloth() -> None:
    mask = draw_stroke(np.zeros((30, 40), np.uint8), [(-50, -50), (500, 400)], width_mm=3, px_per_mm=1)
    assert mask.any()


def test_only_the_newest_of_one_place_is_worth_making() -> None:
    newest = LatestOnly()
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
    of = {"of": SourceCloth(document=1, design_number=1, title="Tides"), "unchanged": lambda: True}
    first = tasks.start("first", lambda out, progress: (go.wait(10), TaskResult(data={}))[1], **of)
    began: list[int] = []
    second = tasks.start("second", lambda out, progress: (began.append(1), TaskResult(data={}))[1], **of)
    tasks.cancel(second.key)
    go.set()
    wait(first, "done")
    wait(second, "stopped")
    assert began == []
    assert [one["state"] for one in told if one["work"] == "second"] == ["stopping", "stopped"]


@pytest.mark.parametrize("value", [None, True, "3", float("nan"), float("inf"), -1, 11, [], {}])
def test_what_is_no_number_in_its_range_is_refused(value: object) -> None:
    with pytest.raises(BatikError):
        RequestFields({"value": value}).number("value", 0, 10)


def test_dyes_learnt_anew_are_seen_at_once_and_by_undo(document, muddy) -> None:
    """What lies on the table equals what a fresh document opens, before the new lesson and after it."""

    def book(colour: str, surface: float) -> dict[str, Dye]:
        seen_on = Undyed(colour="#efe9dd", surface=surface)
        write_book(
            DyeBook(name=OWN_BOOK, title="Mine", entries=(BookDye(name="ink", colour=colour, seen_on=seen_on),)),
            muddy / OWN_BOOK,
        )
        return own_dyes(document)

    made = book("#2a2c55", 0.02)["ink"]
    document.change([{"do": "swap_dye", "dye": "ink", "name": "ink", "made": made}])
    first = document.frames.frame(document.design, View(width=400))
    document.change([{"do": "set_strength", "pot": "pale ink", "strength": 0.6}])
    document.replace_own_dyes(book("#553c2a", 0.04))
    document.autosave.flush()
    again = Document.open(muddy)
    assert again.design == document.design
    assert document.frames.dyes(document.design).surface == 0.04
    document.undo()
    assert document.design.dyes[2].colour == "#553c2a"
    assert not np.array_equal(document.frames.frame(document.design, View(width=400)), first)
    again.close()


def test_a_cloth_open_in_another_worktable_teaches_no_dyes_here(document, muddy, tmp_path) -> None:
    """Its book and its file are the other's to write; trying is free."""
    session = Session(tmp_path, muddy)
    before = muddy.joinpath("design.toml").read_bytes()
    with pytest.raises(BatikError, match="open in another worktable"):
        LONG_JOBS["calibrate"](session, RequestFields({"photo": "1"}))
    with pytest.raises(BatikError, match="photo"):
        LONG_JOBS["calibrate"](session, RequestFields({"photo": "1", "dry_run": True}))
    assert muddy.joinpath("design.toml").read_bytes() == before
    session.close()


@pytest.mark.parametrize(
    ("colour", "kinds", "told", "fix"),
    [
        ((0, 2, 0), ("undyed",), "the undyed cloth looks black", "clicked it in the right place"),
        ((120, 130, 110), ("undyed",), "no dye shows", "the right dye for each patch"),
        ((120, 130, 110), ("undyed", "card"), "the card and the undyed cloth", "grey card"),
        ((120, 130, 110), (), "no way to know how bright", "click bare, undyed cloth"),
    ],
)
def test_what_is_wrong_with_clicked_patches_is_told_as_they_were_clicked(tmp_path, colour, kinds, told, fix) -> None:
    patches = [{"x": 0.2, "y": 0.5, "side": 0.1, "dyes": {"ink": 1}}]
    patches += [{"x": 0.5 + 0.2 * place, "y": 0.5, "side": 0.1, kind: True} for place, kind in enumerate(kinds)]
    strip, photo = tmp_path / "strip.toml", tmp_path / "photo.png"
    strip.write_text(
        strip_text((300, 400), RequestFields({"cloth": "#f1ede2", "patches": patches}), cloth_assumed=False),
        encoding="utf-8",
    )
    Image.new("RGB", (400, 300), colour).save(photo)
    with pytest.raises(BatikError, match=told) as caught:
        jobs.calibrate(tmp_path / "book.toml", picture=photo, strip=strip)
    mended = photo_error(caught.value, "photo.png")
    assert fix in str(mended.fix)
    assert mended.file == "photo.png"
    assert mended.field is None
