"""Dyes learnt from a photo: its patches are clicked on a sheet of their own, by mouse, fingers or keys."""

from __future__ import annotations

import io
import tomllib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim import jobs
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import read_book
from batiksim.values import FLOOR

ROWS, COLS = 300, 400
PLACES = {"1": (80 / COLS, 1 / 3), "0.5": (180 / COLS, 1 / 3), "0.25": (280 / COLS, 1 / 3)}  # full, half, quarter
BARE = (0.5, 0.8)


def photo() -> dict[str, object]:
    """A made photo of three blue patches on bare cloth."""
    rgb = np.full((ROWS, COLS, 3), (241, 237, 226), np.uint8)
    for left, colour in ((40, (70, 120, 170)), (140, (140, 178, 206)), (240, (190, 208, 218))):
        rgb[60:140, left : left + 80] = colour
    noisy = rgb + np.random.default_rng(1).normal(0, 1.5, rgb.shape)
    out = io.BytesIO()
    Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8)).save(out, "PNG")
    return {"name": "strip.png", "mimeType": "image/png", "buffer": out.getvalue()}


def sheet_of(visit, served, **look):
    """The page with the photo on its sheet."""
    seen = visit(served, **look)
    seen.page.get_by_role("tab", name="Plan", exact=True).click()
    seen.key("fold-calibrate").click()
    seen.page.locator("details[data-key=calibrate] input[type=file]").set_input_files(photo())
    seen.page.locator("dialog .lens canvas").wait_for()
    return seen


def click(seen, x: float, y: float) -> None:
    """Click the photo at shares of it."""
    before = seen.page.locator(".patches li").count()
    box = seen.page.locator(".lens canvas").bounding_box()
    seen.page.mouse.click(box["x"] + x * box["width"], box["y"] + y * box["height"])
    seen.until(lambda: seen.page.locator(".patches li").count() == before + 1, "the square")


def click_all(seen, name: str) -> None:
    """Every patch of the photo, dyed with one dye, and bare cloth."""
    seen.key("patch-name").fill(name)
    for strength, place in PLACES.items():
        seen.key("patch-strength").fill(strength)
        seen.key("patch-strength").press("Tab")
        click(seen, *place)
    seen.key("patch-kind").select_option("undyed")
    click(seen, *BARE)


def learn(seen, name: str) -> None:
    """Teach a dye."""
    click_all(seen, name)
    seen.key("sheet-calibrate").click()
    seen.page.locator(".fine", has_text="Saved to your dyes").wait_for(timeout=60_000)


@pytest.fixture
def strips(monkeypatch) -> list[dict]:
    """The strips that would have been learnt from."""
    found: list[dict] = []

    def kept(book: Path, *, strip: Path, **keys: object) -> None:
        found.append(tomllib.loads(strip.read_text()))
        raise BatikError("worktable.error.not_ranked")

    monkeypatch.setattr("batiksim.worktable.long_jobs.jobs.calibrate", kept, raising=False)
    return found


def read_square(patch: dict) -> tuple[float, float, float]:
    """The middle of what is read of a patch, and its width; shares of the photo."""
    left, top, wide, high = patch["at"]
    return left + wide / 2, top + high / 2, wide * jobs.READ_SHARE


@pytest.fixture
def own(serve, muddy):
    """A cloth that has a folder."""
    served = serve(muddy)
    served.ask("change", changes=[{"do": "set_title", "title": "With a folder"}])
    return served


def test_the_square_shown_is_the_square_read_however_close_the_photo_is(visit, own, strips) -> None:
    seen = sheet_of(visit, own)
    lens = seen.page.locator(".lens")
    assert lens.bounding_box()["width"] > 800, "room for clicking"
    seen.key("patch-name").fill("my blue")
    seen.key("patch-name").press("Enter")
    lens.press("+")
    box = seen.page.locator(".lens canvas").bounding_box()
    seen.page.mouse.move(box["x"] + box["width"] * 90 / COLS, box["y"] + box["height"] / 3)
    seen.page.mouse.wheel(0, -500)
    seen.until(lambda: float(lens.get_attribute("data-zoom")) > 2, "closer")
    click(seen, 90 / COLS, 100 / ROWS)
    canvas, square = (seen.page.locator(one).bounding_box() for one in (".lens canvas", ".square:not(.aim)"))
    shown = tuple((square[a] + square[b] / 2 - canvas[a]) / canvas[b] for a, b in (("x", "width"), ("y", "height")))
    seen.key("sheet-calibrate").click()
    seen.until(lambda: strips, "the strip")
    x, y, side = read_square(strips[0]["patch"][0])
    assert (x, y) == pytest.approx((90 / COLS, 100 / ROWS), abs=0.002)
    assert (x, y) == pytest.approx(shown, abs=0.002)
    assert side == pytest.approx(square["width"] / canvas["width"], abs=0.0005)


def test_squares_are_put_moved_and_taken_away_by_keys(visit, own, strips) -> None:
    seen = sheet_of(visit, own)
    keys = seen.page.keyboard
    assert seen.page.evaluate("document.activeElement.dataset.key") == "patch-name"
    keys.type("my blue")
    keys.press("Enter")
    assert seen.page.evaluate("document.activeElement.dataset.key") == "photo"
    assert seen.page.locator(".aim").is_visible()
    for key in ("ArrowLeft", "ArrowLeft", "ArrowUp", "Enter", "ArrowDown", "Enter", "Delete"):
        keys.press(key)
    assert "Removed: my blue at strength 1" in seen.page.inner_text(".desk [role=status]")
    assert seen.page.locator(".patches li").count() == 1
    keys.press("+")
    keys.press("+")
    keys.press("ArrowRight")
    keys.press("Enter")
    seen.key("sheet-calibrate").press("Enter")
    seen.until(lambda: strips, "the strip")
    first, second = (read_square(one)[:2] for one in strips[0]["patch"])
    assert first == pytest.approx((0.48, 0.49), abs=1e-4)
    assert second == pytest.approx((0.48 + 0.01 / 2.25, 0.5), abs=1e-4), "the closer, the finer"


def test_a_square_is_drawn_along_by_the_mouse(visit, own, strips) -> None:
    seen = sheet_of(visit, own)
    seen.key("patch-name").fill("my blue")
    click(seen, 0.5, 0.5)
    box = seen.page.locator(".lens canvas").bounding_box()
    seen.page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.5 * box["height"])
    seen.page.mouse.down()
    seen.page.mouse.move(box["x"] + 0.3 * box["width"], box["y"] + 0.4 * box["height"], steps=4)
    seen.page.mouse.move(box["x"] + 0.2 * box["width"], box["y"] + box["height"] / 3, steps=4)
    seen.page.mouse.up()
    assert seen.page.locator(".patches li").count() == 1
    seen.key("sheet-calibrate").click()
    seen.until(lambda: strips, "the strip")
    assert read_square(strips[0]["patch"][0])[:2] == pytest.approx(PLACES["1"], abs=0.005)


def test_a_patch_without_a_name_is_asked_for_it(visit, own) -> None:
    seen = sheet_of(visit, own)
    box = seen.page.locator(".lens canvas").bounding_box()
    seen.page.mouse.click(box["x"] + 0.2 * box["width"], box["y"] + 0.3 * box["height"])
    seen.page.get_by_text("Name the dye").wait_for()
    assert seen.page.evaluate("document.activeElement.dataset.key") == "patch-name"
    assert seen.page.locator(".patches li").count() == 0


def test_what_is_missing_in_the_photo_is_told_of_the_photo(visit, own) -> None:
    seen = sheet_of(visit, own)
    seen.key("patch-name").fill("my blue")
    click(seen, *PLACES["1"])
    seen.key("sheet-calibrate").click()
    seen.page.locator(".bad-words").wait_for(timeout=60_000)
    words = seen.page.locator(".bad-words").inner_text()
    assert words.startswith("strip.png: there is no way to know how bright the photo is; click bare")
    seen.key("click-patches").click()
    assert seen.page.locator(".patches li").count() == 1, "what was clicked is still there"


def test_fingers_pinch_the_photo_and_tap_its_patches(visit, own) -> None:
    look = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
    seen = sheet_of(visit, own, **look)
    seen.key("patch-name").fill("my blue")
    box = seen.page.locator(".lens").bounding_box()
    assert box["y"] + box["height"] < 844, "the photo in sight"
    touch = seen.context.new_cdp_session(seen.page)

    def fingers(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": box["x"] + x * box["width"], "y": box["y"] + y * box["height"]} for x, y in places]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    fingers("touchStart", (0.4, 0.5))
    fingers("touchStart", (0.4, 0.5), (0.6, 0.5))
    fingers("touchMove", (0.2, 0.5), (0.8, 0.5))
    fingers("touchEnd")
    seen.until(lambda: float(seen.page.locator(".lens").get_attribute("data-zoom")) > 2, "closer")
    assert seen.page.locator(".patches li").count() == 0, "a pinch puts nothing"
    seen.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    seen.until(lambda: seen.page.locator(".patches li").count() == 1, "the square")


def test_dyes_are_learnt_from_a_photo_by_clicking_its_patches(visit, own, muddy) -> None:
    served = own
    seen = sheet_of(visit, served)
    learn(seen, "my blue")
    assert [one.name for one in read_book(muddy / "my-dyes.toml").entries] == ["my blue"]
    assert "bare cloth is assumed to be #f1ede2" in seen.page.inner_text("details[data-key=calibrate]")
    seen.key("new-dye").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("select").select_option("book:my blue")
    sheet.locator("button[type=submit]").click()
    seen.until(lambda: "my blue" in [dye.name for dye in served.session.document.design.dyes], "the dye on the shelf")
    seen.until(lambda: read_design(muddy).dyes[-1].book == "my-dyes.toml", "the dye on disk")


def test_a_learnt_dye_takes_the_place_of_its_namesake_on_the_cloth(visit, own, muddy) -> None:
    served = own
    seen = sheet_of(visit, served)
    learn(seen, "ink")
    before = served.session.document.frames.dyes(served.session.document.design)
    seen.key("use-learnt").click()
    seen.until(lambda: read_design(muddy).dyes[2].book == "my-dyes.toml", "the dye on disk")
    after = served.session.document.frames.dyes(served.session.document.design)
    entry = read_book(muddy / "my-dyes.toml").entry("ink")
    assert (after.colour, after.surface) == (entry.seen_on.colour, entry.seen_on.surface or FLOOR)
    assert not np.allclose(after.dyes["ink"].ks, before.dyes["ink"].ks)
    assert read_design(muddy).cloth == served.session.document.design.cloth
    assert read_design(muddy).cloth.surface is None
    assert seen.key("use-learnt").count() == 0
