"""Ask: a touched spot tells what lies there; findings are ringed and offer trials."""

from __future__ import annotations

from batiksim.texts.catalogue import say


def touch(seen, x: float, y: float) -> None:
    box = seen.page.locator("#cloth").bounding_box()
    seen.page.mouse.click(box["x"] + x * box["width"], box["y"] + y * box["height"])


def test_a_touched_spot_tells_its_dyes_its_name_and_what_comes_next(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("plate-2").click()
    seen.full()
    touch(seen, 0.25, 0.4)
    leaf = seen.page.locator("#leaf")
    leaf.get_by_role("heading", name="This spot", exact=True).wait_for()
    told = served.ask("spot", x=0.25, y=0.4, step=2)
    text = leaf.inner_text()
    assert told["colour"]["name"] in text
    assert "brown" in told["colour"]["plain"] or "red" in told["colour"]["plain"]
    assert "leaf," in text
    assert "pink," in text
    assert "pale ink" in text, "what each pot would make of it"
    assert told["next_step"]["name"] in text
    assert "50 mm from the left" in text


def test_hovering_says_what_lies_there_without_a_pin(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    box = seen.page.locator("#cloth").bounding_box()
    seen.page.mouse.move(box["x"] + 20, box["y"] + box["height"] / 2)
    seen.page.mouse.move(box["x"] + box["width"] * 0.8, box["y"] + box["height"] * 0.35)
    seen.until(lambda: "pink" in seen.page.inner_text("#caption"), "the words")
    assert seen.page.locator(".pin").is_hidden()


def test_a_spot_is_asked_by_keys(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator("#cloth").focus()
    seen.page.keyboard.press("ArrowLeft")
    seen.page.keyboard.press("Enter")
    seen.until(lambda: "This spot" in seen.page.inner_text("#leaf"), "the spot's leaf")
    assert seen.page.inner_text("#said")


def test_a_trial_can_be_left(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator("button", has_text="Try: Wax").first.click()
    seen.key("trial-leave").click()
    seen.page.wait_for_selector(".between", state="hidden")
    assert seen.key("undo").is_disabled()


def test_names_never_become_markup(serve, visit, muddy) -> None:
    served = serve(muddy)
    bad = "<img src=x onerror=document.title='caught'>"
    served.ask(
        "change", changes=[{"do": "set_title", "title": bad}, {"do": "add_pot", "name": bad, "parts": {"pink": 1}}]
    )
    served.ask("change", changes=[{"do": "set_paint", "step": 2, "paint": 1, "pot": bad}])
    seen = visit(served)
    touch(seen, 0.5, 0.1)
    seen.page.get_by_role("heading", name="This spot", exact=True).wait_for()
    seen.settled()
    assert seen.page.locator("img").count() == 0
    assert seen.page.title() != "caught"
    assert bad in seen.page.locator("#leaf").inner_text()


def test_on_a_phone_the_touched_spot_answers_at_the_touch(serve, visit, muddy) -> None:
    seen = visit(serve(muddy), viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    box = seen.page.locator("#cloth").bounding_box()
    seen.page.touchscreen.tap(box["x"] + 0.25 * box["width"], box["y"] + 0.5 * box["height"])
    slip = seen.page.locator(".slip")
    slip.wait_for()
    assert "leaf, then pink" in slip.inner_text()
    there, cloth = slip.bounding_box(), seen.page.locator("#cloth").bounding_box()
    assert cloth["x"] <= there["x"], "within the cloth"
    assert there["x"] + there["width"] <= cloth["x"] + cloth["width"]
    seen.key("slip-more").tap()
    seen.until(lambda: seen.page.locator("#leaf h2").bounding_box()["y"] < 200, "the spot's leaf in sight")
    assert slip.is_hidden()


def test_beside_the_notebook_nothing_is_laid_over_the_cloth(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    touch(seen, 0.25, 0.4)
    seen.page.get_by_role("heading", name="This spot", exact=True).wait_for()
    assert seen.page.locator(".slip").is_hidden()


def test_what_lies_within_a_wide_ring_is_touched_and_drawn_along_like_any_cloth(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    ring = seen.page.locator(".ring.serious").first
    ring.wait_for()
    box = ring.bounding_box()
    assert box["width"] > 100
    seen.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    seen.page.get_by_role("heading", name="This spot", exact=True).wait_for()
    assert ring.get_attribute("aria-pressed") == "false"
    seen.page.mouse.click(box["x"] + box["width"] - 3, box["y"] + box["height"] / 2)  # on its line
    seen.until(lambda: ring.get_attribute("aria-pressed") == "true", "the ring picked")
    seen.page.locator("#cloth").focus()
    for _ in range(4):
        seen.page.keyboard.press("+")
    before = ring.bounding_box()
    window = seen.page.locator("#cloth").bounding_box()
    x, y = window["x"] + window["width"] / 2, window["y"] + window["height"] / 2
    seen.page.mouse.move(x, y)
    seen.page.mouse.down()
    seen.page.mouse.move(x + 40, y + 10, steps=4)
    seen.page.mouse.up()
    assert abs(ring.bounding_box()["x"] - before["x"]) > 20, "drawn along from within the ring"


def test_on_a_phone_a_trial_brings_the_cloth_into_sight_and_is_done_there(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    seen.page.locator("button", has_text="Try: Wax").first.tap()
    seen.key("trial-keep-near").wait_for()
    box = seen.page.locator("#cloth").bounding_box()
    assert 0 <= box["y"] < 300, "the cloth in sight"
    seen.key("trial-keep-near").tap()
    seen.until(lambda: served.session.document.stack.undo_words is not None, "the remedy done")
    seen.page.locator("#tried").wait_for(state="hidden")


def test_on_a_phone_a_step_s_leaf_and_then_the_cloth_come_into_sight(serve, visit, muddy) -> None:
    seen = visit(serve(muddy), viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    seen.key("tag-3").tap()
    seen.until(lambda: 0 <= seen.page.locator("#leaf h2").bounding_box()["y"] < 200, "the step's leaf in sight")
    seen.page.locator("button", has_text="Touch up the wax").tap()
    seen.until(lambda: 0 <= seen.page.locator("#cloth").bounding_box()["y"] < 300, "the cloth in sight")


PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


def test_a_spot_and_a_pot_tell_how_they_look_by_lamplight(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    touch(seen, 0.25, 0.4)
    seen.page.get_by_role("heading", name="This spot", exact=True).wait_for()
    by_lamp = {one["light"]: one["name"] for one in served.ask("spot", x=0.25, y=0.4)["lights"]}
    assert f"Under a filament lamp: {by_lamp['A']}" in seen.page.inner_text("#leaf .lamps")
    assert f"Under a white LED: {by_lamp['LED']}" in seen.page.inner_text("#leaf .lamps")
    seen.page.locator(".pot", has_text="pale ink").click()
    by_lamp = {one["light"]: one["name"] for one in served.ask("pot", pot="pale ink")["lights"]}
    seen.until(
        lambda: f"Under a filament lamp: {by_lamp['A']}" in seen.page.inner_text("#leaf"), "the pot by lamplight"
    )


def test_on_a_phone_what_is_tapped_on_the_line_or_shelf_opens_in_sight(serve, visit, muddy) -> None:
    seen = visit(serve(muddy), **PHONE)
    for tapped, words in (("tag-3", "Touch up the wax"), ("pot-2", "Mix, in parts")):
        seen.page.evaluate("scrollTo(0, 0)")
        seen.key(tapped).tap()
        found = seen.page.locator("#leaf").get_by_text(words).first
        seen.until(lambda found=found: 0 < (found.bounding_box() or {"y": -1})["y"] < 844, words)


def test_on_a_phone_the_tool_lies_beside_the_cloth_that_it_draws_on(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served, **PHONE)
    seen.key("tag-3").tap()
    seen.key("touch-null").tap()
    down = seen.key("tool-down-near")
    down.wait_for()
    cloth, tool = seen.page.locator("#cloth").bounding_box(), down.bounding_box()
    assert 0 <= cloth["y"] < tool["y"] + tool["height"] <= 844, "cloth and tool in one view"
    assert "finger" in seen.page.locator("#tried").inner_text()
    seen.page.touchscreen.tap(cloth["x"] + cloth["width"] * 0.7, cloth["y"] + cloth["height"] * 0.8)
    seen.until(lambda: served.session.document.stack.undo_words == say("document.change.stroke"), "a dab")
    down.tap()
    seen.page.locator("#tried").wait_for(state="hidden")


def test_enter_opens_a_step_and_once_more_goes_into_it(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    tag = seen.key("tag-3")
    tag.press("Enter")
    assert seen.page.evaluate("document.activeElement.dataset.key") == "tag-3"
    tag.press("Enter")
    assert seen.page.evaluate("document.activeElement.id") == "leaf"
    seen.page.keyboard.press("Tab")
    assert seen.page.evaluate("document.activeElement.dataset.key") == "touch-null"
    seen.page.keyboard.press("Escape")
    assert seen.page.evaluate("document.activeElement.dataset.key") == "tag-3"
