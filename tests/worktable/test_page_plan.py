"""Plan and print: orders, handout, workshop, a cloth from a picture; stopping."""

from __future__ import annotations

import io
import re
from pathlib import Path
from urllib.error import HTTPError

import numpy as np
import pytest
from PIL import Image

from batiksim.files.toml.designs import read_design
from tests.waiting import until


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
    pictures = seen.page.locator("li.order img")
    seen.until(lambda: pictures.evaluate_all("(all) => all.every((one) => one.naturalWidth > 100)"), "the cloths")
    assert pictures.count() == seen.page.locator("li.order").count() > 1
    stands = seen.page.locator("li.order", has_text="your order")
    assert stands.count() == 1
    assert stands.get_by_role("button").count() == 0, "it lies on the table already"
    told = seen.page.locator("details[data-key=orders]").inner_text()
    assert "asked for a colour anywhere" in told, "what was taken as given is told"
    assert "[object" not in told
    seen.key("order-1").click()
    seen.until(lambda: served.session.document.autosave.folder != muddy, "a cloth of its own")
    seen.page.get_by_role("tab", name="Plan", exact=True).click()
    seen.page.locator("li.order", has_text="Opened as a cloth of its own").wait_for()
    assert seen.page.locator(".order .fine", has_text="Opened as").count() == 1
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
    assert waiting.value.suggested_filename == f"brown-leaves-{name}"
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


def test_what_was_made_before_a_change_says_so_and_is_made_again(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = opened(visit, served, "workshop")
    seen.key("start-workshop").click()
    seen.key("open-workshop.pdf").wait_for(timeout=60_000)
    again = seen.key("again-workshop")
    assert again.count() == 0
    served.ask("change", changes=[{"do": "set_strength", "pot": "pale ink", "strength": 0.25}])
    again.wait_for()
    assert "changed since this was made" in seen.page.locator(".past").inner_text()
    assert seen.key("open-workshop.pdf").inner_text() == "Open the old sheet"
    served.ask("undo")
    again.wait_for(state="detached")
    assert seen.key("open-workshop.pdf").inner_text() == "Open the sheet"
    served.ask("redo")
    again.click()
    seen.until(lambda: again.count() == 0 and seen.key("open-workshop.pdf").count(), "the new sheet")
    assert seen.key("open-workshop.pdf").inner_text() == "Open the sheet"


def test_orders_of_the_cloth_before_a_change_are_not_laid(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = opened(visit, served, "orders")
    seen.key("start-orders").click()
    seen.key("order-1").wait_for()
    key = seen.page.evaluate("import('/page/tasks.js').then((tasks) => tasks.taskOf('orders').key)")
    served.ask("change", changes=[{"do": "set_strength", "pot": "pale ink", "strength": 0.25}])
    seen.key("again-orders").wait_for()
    assert seen.key("order-1").count() == 0
    with pytest.raises(HTTPError) as refused:
        served.ask("open_order", key=key, rank=1)
    assert "has changed since its orders were ranked" in refused.value.read().decode()
    assert [folder.name for folder in served.home.iterdir()] == ["brown-leaves"]


def test_a_fold_stays_open_while_another_leaf_is_read(serve, visit, muddy) -> None:
    seen = opened(visit, serve(muddy), "tracing")
    seen.page.get_by_role("tab", name="Spot", exact=True).click()
    seen.page.get_by_role("tab", name="Plan", exact=True).click()
    assert seen.key("start-tracing").is_visible()
    assert not seen.key("start-orders").is_visible()


def test_work_tells_its_progress_and_stops_when_asked(serve, visit, muddy, monkeypatch) -> None:
    def slowly(file, *, progress, **keys):
        until(lambda: progress(200, 500, "trying orders"), "being stopped")

    monkeypatch.setattr("batiksim.worktable.long_jobs.jobs.orders", slowly, raising=False)
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
    seen = opened(visit, served, "from-picture")
    seen.page.locator("details[data-key=from-picture] input[type=file]").set_input_files(
        {"name": "two-shapes.png", "mimeType": "image/png", "buffer": png(sketch)}
    )
    seen.until(lambda: seen.key("start-from-picture").is_enabled(), "the picture")
    seen.key("from-picture-steps").fill("2")
    seen.key("from-picture-steps").press("Enter")
    seen.key("start-from-picture").click()
    seen.key("open-from-picture").wait_for(timeout=60_000)
    told = seen.page.inner_text("details[data-key=from-picture]")
    assert re.search(r"\bIt takes (one|\d+) dyeings?\b.* (match|differ)", told)
    assert "main" in seen.key("open-from-picture").get_attribute("class")
    seen.key("open-from-picture").click()
    seen.until(lambda: seen.page.input_value("#title").lower() == "two shapes", "the new cloth")
    assert served.session.document.design.steps
