"""What a maker does first on the page."""

from __future__ import annotations

from batiksim.cloth.loads import STRONGEST_POT
from batiksim.files.toml.designs import read_design


def brown(rgb: tuple[int, int, int]) -> bool:
    return rgb[0] > rgb[1] + 20 and rgb[1] < 110


def green(rgb: tuple[int, int, int]) -> bool:
    return rgb[1] > rgb[0] + 30


def test_opens_on_a_sample(serve, visit) -> None:
    seen = visit(serve())
    assert seen.page.locator(".plate").count() >= 3
    assert "sample" in seen.page.inner_text("#kept")
    assert seen.page.locator("canvas.now").evaluate("c => c.width") > 300
    assert not seen.page.inner_text("#waiting")


def test_dragging_a_tag_tries_another_order_and_undo_brings_it_back(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    assert brown(seen.pixel(0.25, 0.5))
    start, end = seen.key("tag-3").bounding_box(), seen.key("tag-2").bounding_box()
    seen.page.mouse.move(start["x"] + 20, start["y"] + 20)
    seen.page.mouse.down()
    seen.page.mouse.move(end["x"] + 5, end["y"] + 20, steps=8)
    seen.until(lambda: green(seen.pixel(0.25, 0.5)), "the cloth redrawn while the tag is held")
    assert seen.page.inner_text("#kept") == "Saved in brown-leaves", "nothing is changed before it is let go"
    seen.page.mouse.up()
    seen.page.wait_for_selector('[data-key="tag-2"][aria-label*="waxing: leaves"]')
    seen.saved()
    assert green(seen.pixel(0.25, 0.5))
    seen.key("undo").click()
    seen.until(lambda: brown(seen.pixel(0.25, 0.5)), "the old order")
    seen.key("redo").click()
    seen.until(lambda: green(seen.pixel(0.25, 0.5)), "the new order again")


def test_a_strength_slider_shows_at_once_and_is_undone(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    before = seen.pixel(0.95, 0.95)
    slider = seen.key("strength-2")
    slider.focus()
    seen.page.keyboard.press("End")
    seen.until(lambda: sum(seen.pixel(0.95, 0.95)) < sum(before), "a stronger bath")
    seen.saved()
    assert read_design(muddy).pot("pale ink").strength == STRONGEST_POT
    assert seen.page.evaluate("document.activeElement.dataset.key") == "strength-2"
    seen.page.keyboard.press("Control+z")
    seen.until(lambda: seen.pixel(0.95, 0.95) == before, "the old strength")


def test_a_finding_is_ringed_gone_to_and_its_remedy_tried_and_done(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    ring = seen.page.locator(".ring.serious").first
    ring.wait_for()
    assert "brown" in ring.get_attribute("aria-label") or "muddy" in ring.get_attribute("aria-label")
    ring.locator("span").click()  # by its number; within the ring lies cloth
    seen.page.wait_for_selector(".trouble.open")
    seen.page.locator(".trouble.open .number").click()
    assert float(seen.page.locator("#cloth").get_attribute("data-zoom")) > 2
    trial = seen.page.locator(".trouble.open button", has_text="Try: Wax").first
    trial.click()
    seen.page.wait_for_selector("canvas.other[data-shown^=full]")
    beside, own = seen.pixel(0.25, 0.5, "canvas.other"), seen.pixel(0.25, 0.5)
    assert beside[1] > beside[0] + 30
    assert own[0] > own[1]
    assert served.session.document.stack.undo_words is None, "a trial changes nothing"
    seen.key("trial-keep").click()
    seen.until(lambda: seen.pixel(0.25, 0.5)[1] > seen.pixel(0.25, 0.5)[0] + 30, "green leaves")
    seen.until(lambda: seen.page.locator(".ring.serious").count() == 0, "no trouble any more")
    seen.saved()
