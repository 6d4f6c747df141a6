"""See: the cloth, its plates on the line, other orders, two arrangements, lights, looking closer."""

from __future__ import annotations

from dataclasses import replace

from batiksim.files.toml.designs import read_design, write_design
from batiksim.values import Dye


def test_paints_before_the_server_has_reckoned_anything_and_explains_a_long_wait(serve, visit, muddy) -> None:
    """As on a new machine, where the engine has to be made ready first."""
    seen = visit(serve(muddy))
    held = []
    seen.page.route("**/api/frame", lambda route: held.append(route))
    seen.page.reload()
    seen.until(lambda: seen.page.evaluate("performance.getEntriesByName('first-contentful-paint').length"), "paint")
    seen.until(lambda: "first time" in seen.page.inner_text("#waiting"), "a word on the wait")
    seen.until(lambda: held, "a frame asked for")
    seen.page.unroute("**/api/frame")  # lets the held ones go too
    seen.full()
    assert not seen.page.inner_text("#waiting")


def test_a_plate_shows_the_cloth_then(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    finished = seen.pixel(0.25, 0.5)
    seen.key("plate-1").click()
    seen.until(lambda: seen.pixel(0.25, 0.5)[1] > seen.pixel(0.25, 0.5)[0] + 30, "green leaves")
    assert seen.pixel(0.8, 0.9) != finished
    seen.key("plate-0").click()
    seen.until(lambda: min(seen.pixel(0.25, 0.5)) > 200, "bare cloth")
    assert "bare cloth" in seen.page.inner_text("#caption")


def brown(rgb: tuple[int, int, int]) -> bool:
    return rgb[0] > rgb[1] + 20 and rgb[1] < 110


def green(rgb: tuple[int, int, int]) -> bool:
    return rgb[1] > rgb[0] + 30


def test_a_tag_is_moved_by_keys(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("tag-3").focus()
    seen.page.keyboard.press("Shift+ArrowLeft")
    seen.until(lambda: green(seen.pixel(0.25, 0.5)), "green leaves")
    assert seen.page.evaluate("document.activeElement.dataset.key") == "tag-2"
    assert "step 2" in seen.page.inner_text("#said")
    seen.saved()
    text = (muddy / "design.toml").read_text()
    assert text.index('wax = "leaves.png"') < text.index('dye = "pink"')


def test_undo_by_keys_stays_with_the_step_that_was_moved(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    focused = "document.activeElement.dataset.key"
    seen.key("tag-4").press("Enter")
    seen.page.keyboard.press("Shift+ArrowLeft")
    seen.until(lambda: seen.page.evaluate(focused) == "tag-3", "the step moved")
    seen.page.keyboard.press("Shift+ArrowLeft")
    seen.until(lambda: seen.page.evaluate(focused) == "tag-2", "the step moved on")
    for key, places in (("Control+z", (3, 4)), ("Control+y", (3, 2))):
        for place in places:
            seen.page.keyboard.press(key)
            seen.until(lambda place=place: seen.page.evaluate(focused) == f"tag-{place}", f"{key}: step {place}")
            label = seen.key(f"tag-{place}").get_attribute("aria-label")
            assert label == f"Step {place}, waxing: petals"
            assert seen.page.inner_text("#leaf h2").startswith(f"{place}. ")
    seen.key("tag-5").focus()
    seen.page.keyboard.press("Control+z")
    seen.until(lambda: seen.page.evaluate(focused) == "tag-3", "from another tag")


def test_two_arrangements_lie_side_by_side(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.key("set-aside").click()
    seen.key("tag-3").focus()
    seen.page.keyboard.press("Shift+ArrowLeft")
    seen.until(lambda: green(seen.pixel(0.25, 0.5)), "green leaves")
    seen.key("beside").check()
    seen.page.wait_for_selector("canvas.other[data-shown^=full]")
    assert brown(seen.pixel(0.25, 0.5, "canvas.other"))
    divider = seen.page.locator(".divider")
    before = seen.page.locator("canvas.other").evaluate("c => c.style.clipPath")
    divider.focus()
    seen.page.keyboard.press("ArrowLeft")
    assert seen.page.locator("canvas.other").evaluate("c => c.style.clipPath") != before
    seen.key("let-go").click()
    seen.page.wait_for_selector(".between", state="hidden")


def test_what_is_not_dyed_yet_says_so_and_nothing_old_passes_for_it(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator("button", has_text="Try: Wax").first.click()
    seen.page.wait_for_selector("canvas.other[data-shown^=full]")
    seen.key("trial-leave").click()
    seen.key("set-aside").click()
    held = []
    hold = lambda route: held.append(route) if '"other"' in route.request.post_data else route.continue_()  # noqa: E731
    seen.page.route("**/api/frame", hold)
    seen.key("beside").check()
    seen.until(lambda: held, "the frame asked for")
    assert seen.page.inner_text(".side.right") == "drawing…"
    assert seen.page.locator("canvas.other").is_hidden(), "the trial that was looked at before"
    for route in held:
        route.continue_()
    seen.until(lambda: seen.page.inner_text(".side.right") == "saved look", "the frame")
    assert seen.page.locator("canvas.other").is_visible()
    seen.page.unroute("**/api/frame")


def test_after_a_change_old_plates_and_colours_stay_but_are_told_to_be_old(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.wait_for_selector(".trouble")
    colours = seen.page.locator(".leaf .colours")
    assert colours.get_attribute("aria-busy") == "false"
    held = []
    for name in ("thumbnails", "regions"):
        seen.page.route(f"**/api/{name}", lambda route: held.append(route))
    seen.key("strength-2").focus()
    seen.page.keyboard.press("End")
    seen.until(lambda: len(held) >= 2, "both asked for")
    assert "updating…" in seen.page.inner_text("#leaf")
    assert colours.get_attribute("aria-busy") == "true"
    assert seen.page.locator(".strung.old").count() == 1
    assert seen.key("plate-2").locator("canvas").evaluate("c => c.width") > 50, "the old plate hangs there"
    assert "…" in seen.page.locator("#tab-cloth").inner_text()
    for route in held:
        route.continue_()
    for name in ("thumbnails", "regions"):
        seen.page.unroute(f"**/api/{name}")
    seen.page.wait_for_selector(".strung:not(.old)")
    seen.until(lambda: colours.get_attribute("aria-busy") == "false", "counted")


def press(seen, where) -> None:
    """The mouse goes down on something, and stays down."""
    box = where.bounding_box()
    seen.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    seen.page.mouse.down()


def test_a_plate_pressed_while_its_step_is_taken_out_elsewhere_shows_the_last_one(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    press(seen, seen.key("plate-5"))
    with seen.page.expect_response("**/api/state"):
        served.ask("change", changes=[{"do": "remove_step", "step": 5}])
    seen.page.mouse.up()
    seen.until(lambda: seen.page.inner_text("#caption").startswith("After step 4"), "the last step")


def test_a_plate_pressed_before_the_page_knows_that_its_step_is_out_is_no_trouble(serve, visit, muddy) -> None:
    """The server has the new cloth already, the page still shows the old one: what it asks for is overtaken."""
    served = serve(muddy)
    seen = visit(served)
    seen.settled()
    late = []
    seen.page.route("**/api/state", lambda route: late.append((route, route.fetch())))
    served.ask("change", changes=[{"do": "remove_step", "step": 5}])
    seen.until(lambda: late, "the question how the cloth is")
    for key in ("plate-5", "plate-4", "plate-5"):
        with seen.page.expect_response("**/api/frame"):
            seen.key(key).click()
    with seen.page.expect_response("**/api/spot"):  # and what lies under the mouse is asked as well
        seen.page.locator("#cloth").hover()
    for route, answer in late:
        route.fulfill(response=answer)
    seen.page.unroute("**/api/state")
    seen.until(lambda: seen.page.inner_text("#caption").startswith("After step 4"), "the last step")
    assert seen.page.locator("#notice").is_hidden()


def test_a_tab_pressed_while_findings_come_in_opens(serve, visit, muddy) -> None:
    """Tabs tell how many troubles there are, but are not written anew under the hand that presses one."""
    seen = visit(serve(muddy))
    seen.page.wait_for_selector(".ring")
    late = []
    seen.page.route("**/api/findings", lambda route: late.append((route, route.fetch())))
    seen.page.fill("#title", "Findings come in")
    seen.page.press("#title", "Enter")
    seen.until(lambda: late, "findings on the way")
    assert seen.page.inner_text("#tab-cloth .count") == "…"
    press(seen, seen.key("tab-history"))
    for route, answer in late:
        route.fulfill(response=answer)
    seen.settled()
    seen.page.mouse.up()
    seen.until(lambda: seen.page.inner_text("#leaf h2") == "History", "the leaf")
    seen.until(lambda: seen.page.inner_text("#tab-cloth .count").endswith("1"), "the number of troubles")


def test_a_tab_pressed_right_from_a_field_that_holds_something_opens(serve, visit, muddy) -> None:
    """The press takes her out of the title, which is sent: what is due then still waits until the tab is let go."""
    seen = visit(serve(muddy))
    seen.key("tab-history").click()
    seen.until(lambda: seen.page.inner_text("#leaf h2") == "History", "the leaf")
    seen.page.locator("#title").press_sequentially(" once more")
    press(seen, seen.key("tab-plan"))
    seen.until(lambda: "once more" in read_design(muddy).title, "the title on disk")
    seen.drawn()
    seen.page.mouse.up()
    seen.until(lambda: seen.key("tab-plan").get_attribute("aria-selected") == "true", "the plan")


def test_a_ring_pressed_while_another_page_changes_the_cloth_is_chosen(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.page.wait_for_selector(".ring")
    seen.key("tab-plan").click()
    press(seen, seen.key("ring-0").locator("span"))
    with seen.page.expect_response("**/api/findings"):
        served.ask("change", changes=[{"do": "set_title", "title": "From another page"}])
    seen.settled()
    seen.page.mouse.up()
    seen.until(lambda: seen.page.inner_text("#leaf h2") == "Problems", "the cloth's leaf")
    seen.until(lambda: seen.key("ring-0").get_attribute("aria-pressed") == "true", "the ring")


def test_a_shelf_of_many_dyes_with_long_names_keeps_to_its_width(serve, visit, muddy) -> None:
    design = read_design(muddy)
    names = [
        "indigo from the old vat behind the house",
        "einlangeswortohneleerzeichenundnochmehr",
        *map(str, range(14)),
    ]
    write_design(replace(design, dyes=design.dyes + tuple(Dye(name=n, colour="#b03050") for n in names)), muddy)
    seen = visit(serve(muddy), viewport={"width": 1366, "height": 768})
    wide, room = seen.page.locator("#shelf").evaluate("shelf => [shelf.scrollWidth, shelf.clientWidth]")
    assert wide <= room


def test_the_name_of_the_plate_that_is_seen_can_be_read_under_the_mouse(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.key("plate-null").hover()
    ink, ground = (
        seen.key("plate-null")
        .locator(".says")
        .evaluate("e => [getComputedStyle(e).color, getComputedStyle(e).backgroundColor]")
    )
    assert ink != ground


def test_lamp_and_wet_change_what_is_seen(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    day = seen.pixel(0.8, 0.3)
    seen.key("light").select_option("A")
    seen.until(lambda: seen.pixel(0.8, 0.3) != day, "lamplight")
    seen.key("light").select_option("D65")
    seen.until(lambda: seen.pixel(0.8, 0.3) == day, "daylight")
    seen.key("wet").check()
    seen.until(lambda: sum(seen.pixel(0.8, 0.3)) < sum(day), "darker wet cloth")
    assert "wet" in seen.page.inner_text("#caption")


def test_zoom_and_pan_by_keys_wheel_and_fingers(serve, visit, muddy) -> None:
    seen = visit(serve(muddy), has_touch=True)
    cloth = seen.page.locator("#cloth")

    def zoomed() -> float:
        return float(cloth.get_attribute("data-zoom"))

    seen.key("rings").uncheck()
    cloth.focus()
    seen.page.keyboard.press("+")
    assert zoomed() == 1.5
    shift = seen.page.locator(".sheet").evaluate("s => s.style.transform")
    seen.page.keyboard.press("Shift+ArrowRight")
    assert seen.page.locator(".sheet").evaluate("s => s.style.transform") != shift
    seen.page.keyboard.press("0")
    assert zoomed() == 1
    box = cloth.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    seen.page.mouse.move(x, y)
    seen.page.mouse.wheel(0, -300)
    seen.until(lambda: zoomed() > 1.4, "the wheel")
    shift = seen.page.locator(".sheet").evaluate("s => s.style.transform")
    seen.page.mouse.down()
    seen.page.mouse.move(x + 60, y + 40, steps=4)
    seen.page.mouse.up()
    assert seen.page.locator(".sheet").evaluate("s => s.style.transform") != shift
    seen.page.keyboard.press("0")
    fingers = seen.context.new_cdp_session(seen.page)

    def touch(kind: str, apart: float) -> None:
        points = [] if kind == "touchEnd" else [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 30)
    for apart in (45, 60, 90):
        touch("touchMove", apart)
    touch("touchEnd", 0)
    seen.until(lambda: zoomed() > 2, "two fingers")


def test_the_newest_frame_wins(serve, visit, muddy) -> None:
    """Many wishes at once end in the last one, not in whichever came last from the server."""
    seen = visit(serve(muddy))
    seen.key("plate-1").click()
    for name in ("0", "2", "3", "5", "null"):
        seen.key(f"plate-{name}").click()
    seen.settled()
    assert brown(seen.pixel(0.25, 0.5))
