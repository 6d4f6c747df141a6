"""A preview on disk: what it writes, what it never touches, and what is left when it fails half way."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import threading
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim import jobs
from batiksim.errors import BatikError
from batiksim.files import outputs
from batiksim.files.pictures import images
from batiksim.files.pictures.png import PngWriter
from batiksim.files.toml.designs import design_file, write_design
from batiksim.jobs import previews, projects
from batiksim.texts.catalogue import say
from batiksim.values import Cloth, DyeBath, Paint, RemoveWax
from batiksim.values.colour_words import PLAIN

PLATES = [f"plate-{step:02d}.png" for step in range(5)]
ALL = sorted([*PLATES, "cloth.png", "stages.png", "report.json"])


def held(folder):
    """Every file in a folder with a digest of its bytes; hidden ones too."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def pixels(path):
    with Image.open(path) as image:
        return np.asarray(image)


class Stopped(BaseException):
    """The process ends here."""


@pytest.fixture(autouse=True)
def quick_sheet(monkeypatch):
    """A small picture in place of the sheet, whose drawing has tests of its own."""
    monkeypatch.setattr(previews, "stages_sheet", lambda sheet: sheet.stages[-1].picture[:9].copy())


# What a preview writes


def test_the_files_of_a_preview(folder, tmp_path):
    saved = jobs.save_preview(folder, tmp_path / "out")
    assert sorted(os.listdir(tmp_path / "out")) == ALL
    assert sorted(saved.files) == ALL
    assert saved.folder == tmp_path / "out"
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    assert report == saved.report


def test_the_keys_and_types_of_the_report(folder, tmp_path):
    report = jobs.save_preview(folder, tmp_path / "out").report
    fields = ["format", "version", "design", "light", "plates", "regions", "findings", "assumed", "assumed_says"]
    assert list(report) == fields
    assert (report["format"], report["design"]["title"], report["light"]) == (1, "Test cloth", "D65")
    assert [plate["file"] for plate in report["plates"]] == PLATES
    assert [plate["step"] for plate in report["plates"]] == [0, 1, 2, 3, 4]
    assert [plate["kind"] for plate in report["plates"]] == ["bare", "wax", "dye", "wax", "dye"]
    assert [plate["title"] for plate in report["plates"]] == [
        "Bare cloth",
        "Wax 1: lines",
        "Leaf and pink",
        "Wax 2",
        "Night",
    ]
    assert sum(region["share"] for region in report["regions"]) == pytest.approx(1, abs=1e-5)
    for region in report["regions"]:
        assert list(region)[:7] == ["share", "history", "loads", "hex", "lab", "name", "plain"]
        assert (region["shown"], len(region["shown_history"])) == (region["name"], len(region["history"]))
        assert isinstance(region["history"], list)
        assert all(isinstance(name, str) and isinstance(load, float) for name, load in region["loads"].items())
        assert len(region["lab"]) == 3
        assert region["hex"].startswith("#")
        assert region["name"]
        assert region["plain"] in PLAIN
    assert all("read as dark marks" in note for note in report["assumed"])
    assert len(report["assumed"]) == len(report["assumed_says"]) == 3


def test_findings_in_the_report(build, on_disk, tmp_path):
    blank = np.zeros((1, 30, 40), np.uint8)
    planned = build.design(build.wax("nothing"), build.dye("sea"))
    report = jobs.save_preview(on_disk(planned, blank), tmp_path / "out").report
    for finding in report["findings"]:
        assert list(finding) == [
            "code",
            "severity",
            "step",
            "message",
            "message_says",
            "remedy",
            "remedy_says",
            "place",
            "pots",
            "masks",
            "numbers",
            "remedies",
        ]
        assert finding["remedies"] == []  # a preview looks for none
        assert finding["severity"] in ("note", "warn", "serious")
    assert ("wasted", 1) in [(finding["code"], finding["step"]) for finding in report["findings"]]


def test_pictures_are_the_plates_in_srgb_at_their_real_size(folder, tmp_path):
    jobs.save_preview(folder, tmp_path / "out")
    shown = jobs.preview(folder)
    wanted = dict(zip(PLATES, shown.plates, strict=True)) | {"cloth.png": shown.cloth}
    for name, plate in wanted.items():
        with Image.open(tmp_path / "out" / name) as image:
            assert image.info["dpi"] == pytest.approx((40 / 100 * 25.4,) * 2, abs=0.02)  # 40 px on 100 mm
            assert image.info["srgb"] == 0
            assert np.array_equal(np.asarray(image), plate)


def test_same_input_same_bytes(folder, tmp_path):
    for out in ("one", "two"):
        jobs.save_preview(folder, tmp_path / out)
    assert held(tmp_path / "one") == held(tmp_path / "two")


@pytest.mark.parametrize("rows", [1, 7, 29])
def test_files_do_not_depend_on_how_many_rows_are_held_at_once(folder, tmp_path, monkeypatch, rows):
    jobs.save_preview(folder, tmp_path / "one")
    monkeypatch.setattr(previews, "BAND_BYTES", rows * 6 * 40 * 3)
    jobs.save_preview(folder, tmp_path / "two")
    assert held(tmp_path / "one") == held(tmp_path / "two")


def test_one_step_alone(folder, tmp_path):
    jobs.save_preview(folder, tmp_path / "all")
    saved = jobs.save_preview(folder, tmp_path / "out", step=3)
    assert saved.files == ("plate-03.png",)
    assert os.listdir(tmp_path / "out") == ["plate-03.png"]
    assert [plate["file"] for plate in saved.report["plates"]] == ["plate-03.png"]
    assert (tmp_path / "out" / "plate-03.png").read_bytes() == (tmp_path / "all" / "plate-03.png").read_bytes()


def test_one_step_leaves_the_other_outputs_alone(folder, tmp_path):
    jobs.save_preview(folder, tmp_path)
    before = held(tmp_path)
    jobs.save_preview(folder, tmp_path, step=2, wax_off=True)
    after = held(tmp_path)
    assert {name for name in after if after[name] != before.get(name)} <= {"plate-02.png"}
    assert set(after) == set(before)


@pytest.mark.parametrize("step", [-1, 5, 99])
def test_a_step_that_is_not_there(folder, tmp_path, step):
    with pytest.raises(BatikError, match=r"^step: there is no step -?\d+; use 0 .* to 4"):
        jobs.save_preview(folder, tmp_path / "out", step=step)
    assert not (tmp_path / "out").exists()


def test_a_quick_look_is_small_and_keeps_the_real_size(folder, tmp_path):
    jobs.save_preview(folder, tmp_path / "out", width_px=20)
    with Image.open(tmp_path / "out" / "cloth.png") as image:
        assert image.size == (20, 15)
        assert image.info["dpi"] == pytest.approx((20 / 100 * 25.4,) * 2, abs=0.02)
    assert jobs.preview(folder, width_px=4000).cloth.shape == (30, 40, 3)  # never enlarged


def test_wax_off_shows_the_dye_beneath(folder):
    shown, off = jobs.preview(folder), jobs.preview(folder, wax_off=True)
    assert np.array_equal(off.plates[1], off.plates[0])
    assert not np.array_equal(shown.plates[1], shown.plates[0])
    assert np.array_equal(off.cloth, off.plates[-1])
    assert np.array_equal(shown.cloth, off.cloth)


def test_a_preview_as_values(folder):
    shown = jobs.preview(folder)
    assert len(shown.plates) == 5
    assert all(plate.shape == (30, 40, 3) and plate.dtype == np.uint8 for plate in [*shown.plates, shown.cloth])
    assert sum(region.share for region in shown.regions) == pytest.approx(1)
    assert len(shown.stages) == 6
    assert len(shown.assumed) == 3
    again = previews.preview_of(jobs.open_design(folder))
    assert all(np.array_equal(*pair) for pair in zip(shown.plates, again.plates, strict=True))


def test_wet_cloth_is_darker_and_other_lights_differ(folder):
    dry, wet, lamp = (jobs.preview(folder, **keys) for keys in ({}, {"look": "wet"}, {"light": "A"}))
    assert wet.cloth.mean() < dry.cloth.mean()
    assert not np.array_equal(lamp.cloth, dry.cloth)
    assert wet.regions == dry.regions == lamp.regions


def test_a_light_that_is_not_known(folder):
    with pytest.raises(BatikError, match="light: 'moon' isn't a light that batiksim knows; .*'D65'"):
        jobs.preview(folder, light="moon")


def test_nothing_is_written_for_a_light_that_is_not_known(folder, tmp_path):
    with pytest.raises(BatikError, match="light: 'LEDs' isn't a light that batiksim knows; did you mean 'LED'"):
        jobs.save_preview(folder, tmp_path / "out", light="LEDs")
    assert not (tmp_path / "out").exists()


def test_designs_without_masks_or_steps(build, on_disk, tmp_path):
    for number, steps in enumerate([(), (build.dye("sea"),), (RemoveWax(),)]):
        saved = jobs.save_preview(on_disk(build.design(*steps), name=f"plain {number}"), tmp_path / str(number))
        assert len(saved.files) == len(steps) + 4
        assert pixels(tmp_path / str(number) / "cloth.png").shape == (900, 1200, 3)
    assert jobs.preview(tmp_path / "plain 1", width_px=100).cloth.shape == (75, 100, 3)


def test_one_picture_used_twice_is_read_once(build, on_disk):
    planned = build.design(build.wax("a"), build.dye(("sea", "a")), RemoveWax(), build.dye(("pink", "a")))
    assert jobs.open_design(on_disk(planned, build.soft(1))).masks.shape == (1, 30, 40)


def test_one_picture_read_in_two_ways(build, on_disk):
    planned = build.design(build.wax("a"), build.dye("sea"))
    other = build.use("a", marks="light")
    planned = build.design(*planned.steps, build.wax("b").__class__(mask=other), build.dye("pink"))
    masks = jobs.open_design(on_disk(planned, np.concatenate([build.soft(1)] * 2))).masks
    assert np.array_equal(masks[0], 255 - masks[1])


def test_progress_counts_up(folder, tmp_path):
    told = []
    jobs.save_preview(folder, tmp_path / "out", progress=lambda done, whole, what: told.append((done, whole, what)))
    assert all(0 < done <= whole for done, whole, _ in told)
    plates = [done for done, _, what in told if what == say("jobs.progress.plates")]
    assert plates == sorted(plates)
    assert plates[-1] == next(whole for _, whole, what in told if what == say("jobs.progress.plates"))


# What it never touches


def test_other_files_stay_and_stale_plates_go(build, folder, on_disk, tmp_path):
    out = tmp_path / "out"
    jobs.save_preview(folder, out)
    foreign = {"plate-99.png": b"mine", "plate-05.png.bak": b"mine", "notes.txt": b"mine", "plate-5.png": b"mine"}
    for name, what in foreign.items():
        (out / name).write_bytes(what)
    (out / "sub").mkdir()
    (out / "sub" / "plate-04.png").write_bytes(b"mine")
    shorter = on_disk(build.design(build.wax("lines"), build.dye("sea")), name="shorter")
    jobs.save_preview(shorter, out)
    assert set(held(out)) == {
        "cloth.png", "plate-00.png", "plate-01.png", "plate-02.png", "report.json", "stages.png",
        *foreign, "sub/plate-04.png",
    }  # fmt: skip
    assert all((out / name).read_bytes() == what for name, what in foreign.items())


@pytest.mark.parametrize(
    "report",
    ["", "{", "[]", '{"plates": 3}', '{"plates": [{"file": "../precious.png"}, {"file": 7}, {"file": "notes.txt"}]}'],
)
def test_a_strange_report_of_another_makes_nothing_go(folder, tmp_path, report):
    out = tmp_path / "out"
    out.mkdir()
    for name in ("notes.txt", "../precious.png", "plate-77.png"):
        (out / name).write_bytes(b"mine")
    (out / "report.json").write_text(report)
    before = held(tmp_path)
    with pytest.raises(BatikError, match=r"report\.json: already exists, and wasn't made by"):
        jobs.save_preview(folder, out)
    assert held(tmp_path) == before
    (out / "report.json").unlink()
    jobs.save_preview(folder, out)
    assert all((out / name).read_bytes() == b"mine" for name in ("notes.txt", "../precious.png", "plate-77.png"))


@pytest.mark.parametrize("name", ["cloth", "plate-01", "stages"])
def test_never_over_a_mask_of_the_design(build, on_disk, name):
    folder = on_disk(build.design(build.wax(name), build.dye("sea")))
    before = held(folder)
    with pytest.raises(BatikError, match=rf"{name}\.png: is part of the design .*choose another folder"):
        jobs.save_preview(folder, folder)
    assert held(folder) == before


def test_a_mask_listed_as_an_old_plate_is_never_removed(build, on_disk):
    folder = on_disk(build.design(build.wax("plate-07"), build.dye("sea")))
    images.write_png(folder / "plate-07.png", images.read_rgb(folder / "plate-07.png"))  # as if batiksim had made it
    report = dict.fromkeys(("format", "title", "regions", "findings", "assumed"))
    (folder / "report.json").write_text(json.dumps(report | {"plates": [{"file": "plate-07.png"}]}))
    before = held(folder)
    with pytest.raises(BatikError, match="is part of the design"):
        jobs.save_preview(folder, folder)
    assert held(folder) == before


def test_out_may_be_the_design_folder_itself(folder):
    before = held(folder)
    jobs.save_preview(folder, folder)
    after = held(folder)
    assert {name: after[name] for name in before} == before
    assert set(after) - set(before) == set(ALL)


# Bad input: one clear message, nothing half written


def spoilt(folder, name, how):
    path = folder / name
    if how == "missing":
        path.unlink()
    elif how == "empty":
        path.write_bytes(b"")
    elif how == "cut":
        path.write_bytes(path.read_bytes()[:-60])
    elif how == "text":
        path.write_text("not a picture")
    elif how == "animated":
        frames = [Image.new("L", (40, 30), grey) for grey in (0, 255)]
        frames[0].save(path, save_all=True, append_images=frames[1:])
    elif how == "huge":
        header = bytearray(path.read_bytes())
        header[16:24] = (100_000).to_bytes(4, "big") * 2
        header[29:33] = zlib.crc32(bytes(header[12:29])).to_bytes(4, "big")
        path.write_bytes(bytes(header))
    elif how == "other size":
        Image.new("L", (41, 30), 200).save(path)


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("missing", "there is no such picture|is not there|no such"),
        ("empty", "is empty"),
        ("cut", "is cut short"),
        ("text", "is not a picture"),
        ("animated", "holds more than one picture"),
        ("huge", "has far too many pixels"),
        ("other size", "is 41 × 30 pixels, but 'lines.png' is 40 × 30 pixels; save all masks"),
    ],
)
def test_a_bad_mask_is_one_message_and_old_outputs_stay(folder, tmp_path, how, words):
    out = tmp_path / "out"
    jobs.save_preview(folder, out)
    before = held(out)
    spoilt(folder, "petals.png", how)
    with pytest.raises(BatikError, match=words) as caught:
        jobs.save_preview(folder, out)
    message = str(caught.value)
    assert "petals.png" in message
    assert "\n" not in message
    assert str(caught.value.fix)
    assert held(out) == before
    with pytest.raises(BatikError, match=words):
        jobs.save_preview(folder, tmp_path / "new")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("slow", ["lines.png", "petals.png", "keep.png"])
def test_sizes_are_told_alike_whichever_picture_is_read_first(folder, monkeypatch, slow):
    usual, others = projects.read_mask, threading.Semaphore(0)
    monkeypatch.setattr(projects.render, "default_threads", lambda: 3)  # one for each picture

    def read(where, use, **keys):
        if use.picture != slow:
            others.release()
        else:
            assert all(others.acquire(timeout=60) for _ in range(2))
        return usual(where, use, **keys)

    monkeypatch.setattr(projects, "read_mask", read)
    spoilt(folder, "petals.png", "other size")
    with pytest.raises(BatikError, match=r"mask 'petals\.png': is 41 × 30 pixels, but 'lines\.png' is 40 × 30"):
        jobs.open_design(folder)


def test_cracks_show_in_the_wax_alone(build, on_disk):
    masks = build.soft(1, 300, 400)
    plain, cracked = (
        jobs.preview(
            on_disk(build.design(build.dye("sun"), build.wax("a", crackle=much), build.dye("night")), masks, name=name)
        )
        for name, much in (("plain", 0.0), ("cracked", 0.8))
    )
    differs = (plain.cloth != cracked.cloth).any(axis=2)
    assert 0.02 < differs[masks[0] == 255].mean() < 0.6
    assert not differs[masks[0] == 0].any()
    assert cracked.cloth[differs].mean() < plain.cloth[differs].mean()  # night went in


def test_spread_dye_shows_to_the_wax_edge(build, on_disk):
    paint, wax = np.zeros((2, 100, 200), np.uint8)  # 2 pixels to a mm
    paint[:, :50], wax[:, 60:64] = 255, 255
    bath = DyeBath(paints=(Paint(pot="night", where=build.use("b"), spread=True, reach_mm=20),))
    shown = jobs.preview(on_disk(build.design(build.wax("a"), bath), np.stack([wax, paint]))).cloth
    bare, row = shown[50, 199], shown[50]
    assert (row[50:60].mean(axis=1) < bare.mean() - 40).all()
    assert (row[60:] == bare).all()


def test_out_is_a_file(folder, tmp_path):
    (tmp_path / "out").write_text("mine")
    with pytest.raises(BatikError, match="out: is a file, not a folder; choose another name"):
        jobs.save_preview(folder, tmp_path / "out")
    assert (tmp_path / "out").read_text() == "mine"


@pytest.mark.parametrize("out", ["/dev/null/out", "/proc/nothing/out", "x" * 300, "no\0name"])
def test_out_cannot_be_made(folder, tmp_path, out):
    with pytest.raises(BatikError, match="can't be written to .*; choose another folder"):
        jobs.save_preview(folder, tmp_path / out)
    assert os.listdir(tmp_path) == ["cloth"]


def test_a_full_disk_is_one_message(folder, tmp_path, monkeypatch):
    out = tmp_path / "out"
    jobs.save_preview(folder, out)
    before = held(out)

    def full(*args, **keys):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(PngWriter, "close", full)
    with pytest.raises(BatikError, match="No space left on device"):
        jobs.save_preview(folder, out)
    assert held(out) == before


def test_what_fails_in_the_hidden_folder_is_told_as_the_maker_knows_it(tmp_path):
    out = tmp_path / "out"
    with pytest.raises(BatikError) as told, outputs.output_set(out) as stage:
        raise BatikError("worktable.error.not_ranked", file=stage / "orders.png", fix="worktable.error.no_dyes.fix")
    assert str(told.value) == f"{out / 'orders.png'}: these orders aren't ranked yet; add a dye first"
    assert not out.exists()
    for file in (None, tmp_path / "design.toml"):
        with pytest.raises(BatikError) as told, outputs.output_set(out):
            raise BatikError("worktable.error.not_ranked", file=file)
        assert told.value.file == (None if file is None else str(file))


# Stopped half way


@pytest.mark.parametrize("after", [0, 4, 59, 60])
@pytest.mark.parametrize("first", [True, False])
def test_stopping_in_the_middle_of_writing_leaves_the_old_set(folder, tmp_path, monkeypatch, after, first):
    """Ten bands of six plates each, and then the sheet."""
    out = tmp_path / "deep" / "out"
    if not first:
        jobs.save_preview(folder, out)
        before = held(out)
    written = []

    def stop(usual):
        def write(*args, **keys):
            if len(written) == after:
                raise KeyboardInterrupt
            written.append(1)
            return usual(*args, **keys)

        return write

    monkeypatch.setattr(previews, "BAND_BYTES", 3 * 6 * 40 * 3)
    monkeypatch.setattr(previews.PngWriter, "write", stop(previews.PngWriter.write))
    monkeypatch.setattr(projects.images, "write_png", stop(projects.images.write_png))
    with pytest.raises(KeyboardInterrupt):
        jobs.save_preview(folder, out, wax_off=True)
    if first:
        assert not (tmp_path / "deep").exists()
    else:
        assert held(out) == before
        assert sorted(os.listdir(out)) == ALL


@pytest.mark.parametrize("moves", [0, 1, 3, 5, 6])
def test_killed_while_moving_the_next_command_finishes(build, folder, on_disk, tmp_path, monkeypatch, moves):
    """From the rename on the new set counts, even if the process dies before all its files are in place."""
    out, wanted = tmp_path / "out", tmp_path / "wanted"
    jobs.save_preview(folder, out)
    shorter = on_disk(build.design(build.wax("lines"), build.dye("sea")), name="shorter")
    jobs.save_preview(shorter, wanted)
    usual, done = os.replace, []

    def die(source, target):
        if Path(source).parent.name == outputs.READY:
            if len(done) == moves:
                raise Stopped
            done.append(target)
        usual(source, target)

    monkeypatch.setattr(os, "replace", die)
    if moves < 6:
        with pytest.raises(Stopped):
            jobs.save_preview(shorter, out)
    else:
        jobs.save_preview(shorter, out)
    monkeypatch.setattr(os, "replace", usual)
    outputs.finish_outputs(out)
    assert held(out) == held(wanted)
    outputs.finish_outputs(out)
    assert held(out) == held(wanted)


def test_the_next_command_finishes_before_it_begins_its_own(folder, tmp_path):
    out = tmp_path / "out"
    ready = out / outputs.READY
    ready.mkdir(parents=True)
    (ready / "cloth.png").write_bytes(b"new")
    (ready / ".gone.json").write_text('["old.png", "../precious.png"]')
    for name in ("cloth.png", "old.png", "../precious.png"):
        (out / name).write_bytes(b"old")
    with contextlib.suppress(Stopped), outputs.output_set(out):
        assert (out / "cloth.png").read_bytes() == b"new"
        assert not (out / "old.png").exists()
        raise Stopped
    assert (tmp_path / "precious.png").read_bytes() == b"old"  # only plain names in this folder go
    assert os.listdir(out) == ["cloth.png"]


def test_leavings_of_killed_commands_are_swept_after_a_day(tmp_path):
    for name, age in ((".batiksim-new-old", 90_000), (".batiksim-new-young", 60), ("batiksim-new-other", 90_000)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "plate-00.png").write_bytes(b"half")
        os.utime(tmp_path / name, times=((tmp_path / name).stat().st_mtime - age,) * 2)
    with outputs.output_set(tmp_path) as stage:
        (stage / "a.txt").write_text("a")
    assert sorted(os.listdir(tmp_path)) == [".batiksim-new-young", "a.txt", "batiksim-new-other"]


def test_outputs_of_one_set_come_together(tmp_path):
    with contextlib.suppress(Stopped), outputs.output_set(tmp_path / "a" / "b") as stage:
        (stage / "one.txt").write_text("1")
        raise Stopped
    assert os.listdir(tmp_path) == []
    with outputs.output_set(tmp_path / "a" / "b", replaces=("two.txt",)) as stage:
        (stage / "one.txt").write_text("1")
        assert os.listdir(tmp_path / "a" / "b") == [stage.name]
    assert os.listdir(tmp_path / "a" / "b") == ["one.txt"]


# A starter


def test_new_then_preview(tmp_path):
    made = jobs.new_design(tmp_path / "my cloth")
    assert "design.toml" in made
    assert sorted(os.listdir(tmp_path / "my cloth")) == sorted(made)
    shown = jobs.preview(tmp_path / "my cloth", width_px=200)
    assert len(shown.regions) > 4
    assert not [finding for finding in shown.findings if finding.severity == "serious"]


def test_new_overwrites_nothing(tmp_path):
    jobs.new_design(tmp_path)
    (tmp_path / "design.toml").write_text("mine")
    before = held(tmp_path)
    with pytest.raises(BatikError, match="already exists"):
        jobs.new_design(tmp_path)
    assert held(tmp_path) == before
    with pytest.raises(BatikError, match="is a file, not a folder"):
        jobs.new_design(tmp_path / "design.toml")


def test_new_into_a_folder_with_other_things(tmp_path):
    (tmp_path / "notes.txt").write_text("mine")
    jobs.new_design(tmp_path)
    assert (tmp_path / "notes.txt").read_text() == "mine"
    assert design_file(tmp_path).is_file()


def test_a_design_copied_by_reading_and_writing_previews_alike(build, folder, tmp_path):
    planned = jobs.open_design(folder).design
    write_design(planned, folder / "copy.toml")
    one, other = jobs.preview(folder), jobs.preview(folder / "copy.toml")
    assert np.array_equal(one.cloth, other.cloth)
    assert one.regions == other.regions


def test_the_real_width_sets_the_dots_per_inch(build, on_disk, tmp_path):
    planned = build.design(build.wax("a"), cloth=Cloth(width_mm=254))
    jobs.save_preview(on_disk(planned, build.soft(1, 100, 200)), tmp_path / "out", step=1)
    with Image.open(tmp_path / "out" / "plate-01.png") as image:
        assert image.info["dpi"] == pytest.approx((20, 20), abs=0.02)
