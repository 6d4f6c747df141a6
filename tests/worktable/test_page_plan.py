"""Plan and print: orders, handout, workshop, a cloth from a picture, dyes from a clicked photo; stopping."""

from __future__ import annotations

import io
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim.files.designs import read_design
from batiksim.files.dyebooks import read_book


def opened(visit, served, fold: str):
    seen = visit(served)
    seen.page.get_by_role("tab", name="Plan", exact=True).click()
    seen.key(f"fold-{fold}").click()
    return seen


def test_orders_are_ranked_and_one_is_laid_on_the_table(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = opened(visit, served, "orders")
    seen.key("start-orders").click()
    seen.key("order-1").wait_for()
    assert seen.key("open-orders.png").is_visible()
    seen.key("order-1").click()
    seen.until(lambda: served.desk.table.keeper.folder != muddy, "a cloth of its own")
    seen.full()
    assert read_design(muddy).title == "Brown leaves"
    assert len(list(served.home.iterdir())) == 2


@pytest.mark.parametrize(
    ("fold", "name"),
    [("handout", "handout.pdf"), ("handout", "risk.pdf"), ("workshop", "workshop.pdf"), ("tracing", "sheets.pdf")],
)
def test_a_sheet_is_made_and_saved(serve, visit, muddy, fold: str, name: str) -> None:
    seen = opened(visit, serve(muddy), fold)
    if fold != "tracing":
        seen.key("plan-makers").locator("visible=true").fill("12")
        seen.key("plan-makers").locator("visible=true").press("Enter")
    if name == "risk.pdf":
        seen.key("risk").check()
    seen.key(f"start-{fold}").click()
    seen.key(f"save-{name}").wait_for(timeout=60_000)
    with seen.page.expect_download() as waiting:
        seen.key(f"save-{name}").click()
    made = Path(waiting.value.path()).read_bytes()
    assert made.startswith(b"%PDF")
    if fold == "workshop":
        assert "12 makers" in seen.page.locator(".written").inner_text()
        assert seen.page.locator(".written table").count() > 3


def test_what_is_made_comes_into_sight_and_the_focus_stays(serve, visit, muddy) -> None:
    seen = opened(visit, serve(muddy), "handout")
    seen.key("start-handout").press("Enter")
    seen.key("open-handout.pdf").wait_for(timeout=60_000)
    assert seen.page.evaluate("document.activeElement.dataset.key") == "start-handout"
    assert seen.page.inner_text("#said") == "The handout is ready to open."
    leaf, made = seen.page.locator("#leaf").bounding_box(), seen.key("open-handout.pdf").bounding_box()
    assert made["y"] + made["height"] <= leaf["y"] + leaf["height"]


def test_work_tells_its_progress_and_stops_when_asked(serve, visit, muddy, monkeypatch) -> None:
    def slowly(file, *, progress, **keys):
        for done in range(500):
            progress(done, 500, "trying orders")
            time.sleep(0.03)
        raise AssertionError("was not stopped")

    monkeypatch.setattr("batiksim.worktable.works.jobs.rank_orders", slowly, raising=False)
    seen = opened(visit, serve(muddy), "orders")
    seen.key("start-orders").click()
    seen.page.wait_for_selector("progress[value]")
    seen.until(lambda: float(seen.page.locator("progress").get_attribute("value")) > 3, "some progress")
    seen.key("stop-orders").click()
    seen.page.get_by_text("Stopped. Nothing was made.").wait_for()


def test_what_goes_wrong_in_a_task_is_said(serve, visit, muddy) -> None:
    seen = opened(visit, serve(muddy), "workshop")
    seen.key("plan-sessions").fill("two and a bit")
    seen.key("plan-sessions").press("Enter")
    seen.key("start-workshop").click()
    seen.page.locator(".bad-words").wait_for()
    assert "sessions" in seen.page.locator(".bad-words").inner_text()


def png(pixels: np.ndarray) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "PNG")
    return out.getvalue()


def test_a_cloth_from_a_dropped_picture(serve, visit, muddy) -> None:
    served = serve(muddy)
    sketch = np.full((150, 200, 3), (244, 239, 226), np.uint8)
    sketch[20:130, 20:90] = (245, 223, 60)
    sketch[40:120, 110:180] = (44, 53, 80)
    seen = opened(visit, served, "separate")
    seen.page.locator("details[data-key=separate] input[type=file]").set_input_files(
        {"name": "two-shapes.png", "mimeType": "image/png", "buffer": png(sketch)}
    )
    seen.until(lambda: seen.key("start-separate").is_enabled(), "the picture")
    seen.key("separate-steps").fill("2")
    seen.key("separate-steps").press("Enter")
    seen.key("start-separate").click()
    seen.key("open-separated").wait_for(timeout=60_000)
    seen.key("open-separated").click()
    seen.until(lambda: seen.page.input_value("#title").lower() == "two shapes", "the new cloth")
    assert served.desk.table.design.steps


def learn(seen, name) -> None:
    """Teach a dye from a made photo of three blue patches, clicked one after another."""
    photo = np.full((300, 400, 3), (241, 237, 226), np.uint8)
    for left, colour in ((40, (70, 120, 170)), (140, (140, 178, 206)), (240, (190, 208, 218))):
        photo[60:140, left : left + 80] = colour
    random = np.random.default_rng(1)
    photo = np.clip(photo + random.normal(0, 1.5, photo.shape), 0, 255).astype(np.uint8)
    seen.page.locator("details[data-key=calibrate] input[type=file]").set_input_files(
        {"name": "strip.png", "mimeType": "image/png", "buffer": png(photo)}
    )
    canvas = seen.page.locator(".photo canvas")
    canvas.wait_for()
    seen.key("patch-side").evaluate("(i) => { i.value = 0.14; i.dispatchEvent(new Event('change')); }")

    def click(x: float, y: float) -> None:
        before = seen.page.locator(".patch").count()
        box = canvas.bounding_box()
        canvas.click(position={"x": box["width"] * x, "y": box["height"] * y})
        seen.until(lambda: seen.page.locator(".patch").count() == before + 1, "the patch")

    seen.key("patch-name").fill(name)
    for x, strength in ((80 / 400, "1"), (180 / 400, "0.5"), (280 / 400, "0.25")):
        seen.key("patch-strength").fill(strength)
        seen.key("patch-strength").press("Tab")
        click(x, 100 / 300)
    seen.key("patch-kind").select_option("undyed")
    click(0.5, 0.8)
    seen.key("start-calibrate").click()
    seen.page.locator(".fine", has_text="book").wait_for(timeout=60_000)


def test_dyes_are_learnt_from_a_photo_by_clicking_its_patches(serve, visit, muddy) -> None:
    served = serve(muddy)
    served.ask("change", changes=[{"do": "title", "title": "With a folder"}])
    seen = opened(visit, served, "calibrate")
    learn(seen, "my blue")
    assert [one.name for one in read_book(muddy / "my-dyes.toml").entries] == ["my blue"]
    assert "bare cloth was taken as #f1ede2" in seen.page.inner_text("details[data-key=calibrate]")
    seen.key("new-dye").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("select").select_option("book:my blue")
    sheet.locator("button[type=submit]").click()
    seen.until(lambda: "my blue" in [dye.name for dye in served.desk.table.design.dyes], "the dye on the shelf")
    seen.until(lambda: read_design(muddy).dyes[-1].book == "my-dyes.toml", "the dye on disk")


def test_a_learnt_dye_takes_the_place_of_its_namesake_on_the_cloth(serve, visit, muddy) -> None:
    served = serve(muddy)
    served.ask("change", changes=[{"do": "title", "title": "With a folder"}])
    seen = opened(visit, served, "calibrate")
    learn(seen, "ink")
    before = served.desk.table.frames.dyes(served.desk.table.design)
    seen.key("use-learnt").click()
    seen.until(lambda: read_design(muddy).dyes[2].book == "my-dyes.toml", "the dye on disk")
    after = served.desk.table.frames.dyes(served.desk.table.design)
    entry = read_book(muddy / "my-dyes.toml").entry("ink")
    assert (after.colour, after.surface) == (entry.seen_on.colour, entry.seen_on.surface)
    assert not np.allclose(after.dyes["ink"].ks, before.dyes["ink"].ks)
    assert read_design(muddy).cloth == served.desk.table.design.cloth
    assert read_design(muddy).cloth.surface is None
    assert seen.key("use-learnt").count() == 0
