"""Begin: from the maker's own pictures, photos cleaned on the spot; the cloth's size and colour."""

from __future__ import annotations

import io
import shutil
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from batiksim.files.toml.designs import read_design


def file(name: str, picture: Image.Image) -> dict[str, object]:
    out = io.BytesIO()
    picture.save(out, "PNG")
    return {"name": name, "mimeType": "image/png", "buffer": out.getvalue()}


def scan() -> Image.Image:
    """A drawing on unevenly lit paper with noise, as a phone sees it."""
    random = np.random.default_rng(3)
    paper = np.linspace(150, 235, 400)[None, :] + random.normal(0, 6, (300, 400))
    paper[60:240, 120:260] = 45 + random.normal(0, 6, (180, 140))
    return Image.fromarray(np.clip(paper, 0, 255).astype(np.uint8))


def test_begin_from_three_pictures(serve, visit, boxes) -> None:
    served = serve()
    seen = visit(served)
    seen.key("begin").click()
    sheet = seen.page.locator("dialog")
    sheet.get_by_label("Name").fill("Three pictures")
    sheet.get_by_label("Width in mm").fill("300")
    sheet.locator("input[type=file]").set_input_files([
        file("lines.png", boxes((0, 0, 399, 12))),
        file("leaves.png", boxes((20, 40, 180, 260))),
        file("scan.jpg", scan()),
    ])  # fmt: skip
    seen.until(lambda: sheet.locator(".card").count() == 3, "three cards")
    leaves, photo = sheet.locator(".card").nth(1), sheet.locator(".card").nth(2)
    assert not leaves.get_by_label("Clean it up").is_checked()
    assert photo.get_by_label("Clean it up").is_checked(), "an uneven picture is offered to be cleaned"
    before, after = photo.locator("canvas").nth(0), photo.locator("canvas").nth(1)
    ground = "c => c.getContext('2d').getImageData(4, 4, 1, 1).data[0]"
    seen.until(lambda: after.evaluate(ground) > 250, "clean paper")
    assert before.evaluate(ground) < 220
    leaves.get_by_label("What to do with it").select_option("dye")
    leaves.get_by_label("Dye", exact=True).select_option("book:emerald")
    leaves.get_by_label("Then dye the whole cloth").select_option("book:crimson")
    photo.get_by_label("Then dye the whole cloth").select_option("book:navy")
    sheet.locator("button[type=submit]").click()
    seen.page.wait_for_selector('[data-key="tag-4"]')
    seen.saved()
    design = read_design(served.session.document.autosave.file)
    assert design.title == "Three pictures"
    assert design.cloth.width_mm == 300
    assert [dye.name for dye in design.dyes] == ["emerald", "crimson", "navy"]
    assert [type(step).__name__ for step in design.steps] == ["Wax", "DyeBath", "DyeBath", "Wax", "DyeBath"]
    assert [step.paints[0].where is None for step in design.steps if hasattr(step, "paints")] == [False, True, True]
    cleaned = np.asarray(
        Image.open(served.session.document.autosave.folder / design.steps[3].mask.picture).convert("L")
    )
    assert cleaned[5, 5] == 255
    assert cleaned[150, 190] == 0


def on_a_table() -> Image.Image:
    """A photo of a drawing, paper and all, on a dark document."""
    photo = Image.new("L", (400, 300), 70)
    draw = ImageDraw.Draw(photo)
    draw.polygon([(30, 25), (370, 20), (375, 275), (35, 280)], fill=225)
    draw.ellipse((150, 100, 250, 200), fill=30)
    noise = np.random.default_rng(5).normal(0, 5, (300, 400))
    return Image.fromarray(np.clip(np.asarray(photo) + noise, 0, 255).astype(np.uint8))


def test_the_table_round_the_paper_is_told_and_left_out(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("begin").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("input[type=file]").set_input_files([file("sun.png", on_a_table())])
    tick = sheet.get_by_label("leave out what is around the paper")
    tick.wait_for()
    assert "Is that the table under the paper?" in sheet.inner_text()
    after = sheet.locator(".card canvas").nth(1)
    corner = "c => c.getContext('2d').getImageData(4, 4, 1, 1).data[0]"
    seen.until(lambda: after.evaluate(corner) > 250, "nothing in the corner")
    tick.uncheck()
    seen.until(lambda: after.evaluate(corner) < 5, "the document, as it would be waxed")
    tick.check()
    seen.until(lambda: after.evaluate(corner) > 250, "nothing in the corner")
    sheet.locator("button[type=submit]").click()
    seen.until(lambda: served.session.document.design.title == "My cloth", "the new cloth")
    served.session.document.autosave.flush()
    design = read_design(served.session.document.autosave.file)
    wax = np.asarray(Image.open(served.session.document.autosave.folder / design.steps[0].mask.picture).convert("L"))
    np.testing.assert_allclose(wax.shape, (255, 340), atol=3, err_msg="the sheet of paper alone, laid straight")
    assert wax[4, 4] == wax[128, 10] == 255
    assert wax[128, 170] == 0


def test_photos_of_two_sheets_lie_over_one_another_whatever_the_camera_s_place(serve, visit, muddy) -> None:
    """The same sun from two places: the wax of one covers what the other brushes; a scan of it sets the shape."""
    served = serve(muddy)
    seen = visit(served)
    seen.key("begin").click()
    sheet = seen.page.locator("dialog")
    plain = Image.new("L", (340, 255), 255)
    ImageDraw.Draw(plain).ellipse((120, 77, 220, 177), fill=0)
    moved = on_a_table().transform((400, 300), Image.Transform.AFFINE, (1.05, 0.06, -18, -0.05, 1.04, 4), fillcolor=70)
    sheet.locator("input[type=file]").set_input_files(
        [file("near.png", on_a_table()), file("far.png", moved), file("scan.png", plain)]
    )
    seen.until(lambda: sheet.locator(".card").count() == 3, "three cards")
    assert sheet.get_by_label("and straighten the paper").count() == 2
    sheet.locator("button[type=submit]").click()
    seen.until(lambda: served.session.document.design.title == "My cloth", "the new cloth")
    document = served.session.document
    masks = document.frames.drawn(document.design) > 127
    assert masks.shape == (3, 255, 340), "the scan's shape is known, the photos' only nearly"
    for photo in masks[:2]:
        assert np.mean(photo != masks[2]) < 0.02


def test_what_ends_a_long_sheet_stays_in_sight_and_tells_that_it_works(serve, visit, boxes) -> None:
    served = serve()
    seen = visit(served, viewport={"width": 1100, "height": 640})
    seen.key("begin").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("input[type=file]").set_input_files([file(f"{n}.png", boxes((20, 40, 180, 260))) for n in range(3)])
    seen.until(lambda: sheet.locator(".card").count() == 3, "three cards")
    go = sheet.locator("button[type=submit]")
    whole = "b => { const r = b.getBoundingClientRect(); return document.elementFromPoint(r.x + 9, r.y + 9) === b; }"
    assert go.evaluate(whole)
    last = sheet.get_by_label("Then dye the whole cloth").nth(2)
    last.focus()
    bottom = last.bounding_box()["y"] + last.bounding_box()["height"]
    assert bottom <= sheet.locator(".ends").bounding_box()["y"], "what has the focus is not beneath it"
    held = []
    seen.page.route("**/api/create", lambda route: held.append(route))
    go.click()
    seen.until(lambda: held, "the request")
    assert go.inner_text() == "Creating the cloth…"
    assert go.is_disabled()
    held[0].continue_()
    sheet.wait_for(state="detached")


def test_a_picture_of_another_shape_is_refused_and_nothing_begins(serve, visit, muddy, boxes) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("begin").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("input[type=file]").set_input_files([
        file("wide.png", boxes((0, 0, 90, 90))), file("high.png", boxes((0, 0, 90, 90)).rotate(90, expand=True)),
    ])  # fmt: skip
    seen.until(lambda: sheet.locator(".card").count() == 2, "two cards")
    sheet.locator("button[type=submit]").click()
    sheet.locator(".bad:visible").first.wait_for()
    assert "a different shape" in sheet.inner_text()
    assert served.session.document.design.title == "Brown leaves"
    assert [folder.name for folder in served.home.iterdir()] == ["brown-leaves"]
    seen.errors.clear()  # the refusal itself


def test_what_is_no_picture_is_refused_in_words(serve, visit) -> None:
    seen = visit(serve())
    seen.key("begin").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("input[type=file]").set_input_files(
        {"name": "letter.png", "mimeType": "image/png", "buffer": b"<svg onload=alert(1)>" * 50}
    )
    sheet.locator("text=letter.png").wait_for()
    assert sheet.locator(".card").count() == 0
    seen.errors.clear()  # the refusal itself


def test_a_picture_dropped_on_the_cloth_becomes_a_step(serve, visit, muddy, boxes) -> None:
    seen = visit(serve(muddy))
    out = io.BytesIO()
    boxes((300, 200, 380, 280)).save(out, "PNG")
    seen.page.locator("#cloth").evaluate(
        """(cloth, bytes) => {
            const carried = new DataTransfer();
            carried.items.add(new File([new Uint8Array(bytes)], "moon.png", { type: "image/png" }));
            for (const kind of ["dragover", "drop"]) {
                cloth.dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: carried }));
            }
        }""",
        list(out.getvalue()),
    )
    sheet = seen.page.locator("dialog")
    sheet.locator(".card").wait_for()
    sheet.get_by_label("When").select_option("1")
    sheet.locator("button[type=submit]").click()
    seen.page.wait_for_selector('[data-key="tag-6"]')
    seen.saved()
    assert "moon" in read_design(muddy).steps[0].mask.picture


def test_size_and_colour_of_the_cloth(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.key("cloth-width").fill("640")
    seen.key("cloth-width").press("Enter")
    seen.until(lambda: read_design(muddy).cloth.width_mm == 640, "the width")
    seen.key("plate-0").click()
    seen.key("cloth-colour").evaluate("(c) => { c.value = '#a0c0e0'; c.dispatchEvent(new Event('change')); }")
    seen.until(lambda: seen.pixel(0.5, 0.5) == (0xA0, 0xC0, 0xE0), "blue cloth")


def test_another_cloth_of_the_folder_is_opened(serve, visit, muddy) -> None:
    other = Path(shutil.copytree(muddy, muddy.parent / "other")) / "design.toml"
    other.write_text(other.read_text().replace("Brown leaves", "Another"))
    seen = visit(serve(other))
    seen.key("open").click()
    pictures = seen.page.locator("dialog canvas")
    width = "(all) => all.length === 2 && all.every((one) => one.width > 100)"
    seen.until(lambda: pictures.evaluate_all(width), "pictures of both")
    assert pictures.count() == 2
    assert seen.pixel(0.25, 0.5, "dialog li:first-child canvas")[2] < 80, "the brown leaves"
    seen.page.get_by_role("button", name="Open Brown leaves").click()
    seen.until(lambda: seen.page.input_value("#title") == "Brown leaves", "its title")
    seen.saved()


def test_the_sample_is_reached_again_and_leaves_the_own_cloths_alone(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("open").click()
    seen.page.get_by_role("button", name="Open The sample").click()
    seen.page.wait_for_selector("#kept.sample")
    assert [folder.name for folder in served.home.iterdir()] == ["brown-leaves"]
    seen.key("open").click()
    dialog = seen.page.locator("dialog")
    dialog.get_by_role("button", name="Open Brown leaves").wait_for()
    assert dialog.get_by_role("button", name="Open The sample").count() == 0, "it lies on the table"
