"""Change: strengths, drops, another dye, a wanted colour, how wax and dye lie, brush and eraser; undo for all of it."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, DyeBook, Undyed


def test_a_slider_shows_half_size_while_it_moves_and_full_size_at_rest(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.evaluate(
        "() => { window.seen = []; document.addEventListener('cloth-drawn', (e) => window.seen.push(e.detail.half)); }"
    )
    box = seen.key("strength-2").bounding_box()
    y = box["y"] + box["height"] / 2
    seen.page.mouse.move(box["x"] + 20, y)
    seen.page.mouse.down()
    seen.page.mouse.move(box["x"] + box["width"] - 6, y, steps=12)
    seen.until(lambda: seen.page.evaluate("window.seen.includes(true)"), "a half-size frame")
    seen.until(lambda: seen.page.evaluate("window.seen.at(-1) === false"), "a full-size frame at rest")
    assert seen.page.inner_text("#kept").startswith("Saved"), "nothing is changed while it is held"
    seen.page.mouse.up()
    seen.until(lambda: seen.key("undo").is_enabled(), "the change")


def test_fast_keys_on_a_plain_dye_count_every_press(serve, visit, muddy) -> None:
    """Arrow keys faster than the answers come: one pot, and the strength of the last press."""
    served = serve(muddy)
    seen = visit(served)
    seen.key("strength-1").focus()  # pink, a dye that is brushed on as it is
    for _ in range(9):
        seen.page.keyboard.press("ArrowLeft")
    seen.until(lambda: seen.page.locator(".pot", has_text="pink pot").count() == 1, "the pot of it")
    for _ in range(3):
        seen.page.keyboard.press("ArrowRight")
    seen.saved()
    pots = [pot for pot in read_design(muddy).pots if "pink" in pot.dyes]
    assert [(pot.name, pot.strength) for pot in pots] == [("pink pot", pytest.approx(0.7))]
    assert seen.key("strength-1").input_value() == "0.7"
    for _ in range(9):
        if served.session.document.stack.undo_words:
            served.ask("undo")
    seen.until(lambda: seen.key("strength-1").input_value() == "1", "the dye as it is, after fewer undos than presses")
    assert [pot.name for pot in served.session.document.design.pots] == ["pale ink"]


def test_undo_first_puts_a_trial_away(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.page.fill("#title", "Renamed")
    seen.page.press("#title", "Enter")
    seen.saved()
    seen.page.locator("button", has_text="Try: ").first.click()
    seen.page.wait_for_selector(".trial")
    seen.key("undo").click()
    seen.until(lambda: seen.page.locator(".trial").count() == 0, "the trial put away")
    assert served.session.document.design.title == "Renamed"
    seen.page.locator("button", has_text="Try: ").first.click()
    seen.page.wait_for_selector(".trial")
    seen.key("redo").is_disabled()
    served.ask("undo")
    seen.until(lambda: seen.page.input_value("#title") == "Brown leaves", "what another page took back")
    assert seen.page.locator(".trial").count() == 0, "a trial is of the cloth as it was"


def test_drops_and_parts(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator(".pot", has_text="pale ink").click()
    seen.page.locator("summary", has_text="Add drops").click()
    seen.key("drop-1").click()
    seen.key("drop-1").click()
    seen.saved()
    seen.until(lambda: dict(read_design(muddy).pot("pale ink").drops) == {"pink": 2}, "two drops of pink")
    seen.key("undrop-1").click()
    seen.until(lambda: dict(read_design(muddy).pot("pale ink").drops) == {"pink": 1}, "one drop of pink")
    seen.key("part-0").focus()
    for _ in range(3):
        seen.page.keyboard.press("ArrowRight")
    seen.until(
        lambda: read_design(muddy).pot("pale ink").parts.get("leaf") == pytest.approx(0.3), "three tenths of leaf"
    )


def test_another_dye_in_the_place_of_one(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    before = seen.pixel(0.8, 0.3)
    seen.page.locator(".jar", has_text="pink").click()
    seen.key("swap-0").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("select").select_option("book:golden yellow")
    sheet.locator("button[type=submit]").click()
    seen.until(lambda: seen.pixel(0.8, 0.3) != before, "golden petals")
    seen.saved()
    assert [dye.name for dye in read_design(muddy).dyes] == ["leaf", "golden yellow", "ink"]


def test_a_dye_s_namesake_in_the_maker_s_own_book_may_take_its_place(serve, visit, muddy) -> None:
    entry = BookDye(name="pink", colour="#e08020", seen_on=Undyed(colour="#efe9dd", surface=0.02))
    write_book(DyeBook(name="my-dyes.toml", title="Mine", entries=(entry,)), muddy / "my-dyes.toml")
    seen = visit(serve(muddy))
    seen.page.locator(".jar", has_text="pink").click()
    seen.key("swap-0").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("select").select_option("book:pink")
    sheet.locator("button[type=submit]").click()
    seen.until(lambda: read_design(muddy).dyes[1].book == "my-dyes.toml", "the dye on disk")
    seen.key("swap-0").click()
    assert "book:pink" not in [one.get_attribute("value") for one in sheet.locator("select option").all()]


def test_a_wanted_colour_is_matched(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator(".pot", has_text="pale ink").click()
    seen.key("wanted-words").fill("dark olive green")
    seen.key("wanted-words").press("Enter")
    seen.key("use-0").wait_for()
    seen.key("use-0").click()
    seen.until(lambda: set(read_design(muddy).pot("pale ink").parts) != {"ink"}, "another mix")


def test_what_was_matched_is_matched_anew_once_a_dye_is_swapped(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator(".pot", has_text="pale ink").click()
    seen.key("wanted-words").fill("vivid purplish red")
    seen.key("wanted-words").press("Enter")
    seen.key("use-0").wait_for()
    assert "pink" in seen.page.locator("details[data-key=wanted]").inner_text()
    seen.key("swap-0").click()  # ink
    seen.page.locator("dialog select").select_option("book:golden yellow")
    seen.page.locator("dialog button[type=submit]").click()
    told = seen.page.locator("details[data-key=wanted]")
    seen.until(
        lambda: "Mix, in parts" in seen.page.inner_text("#leaf") and "golden yellow" in seen.page.inner_text("#leaf"),
        "swapped",
    )
    seen.key("use-0").wait_for()
    names = {"leaf", "pink", "golden yellow"}
    recipes = [one.get_attribute("aria-label") for one in told.locator("button").all()]
    assert recipes
    assert all(any(name in one for name in names) and "ink" not in one.replace("pink", "") for one in recipes)


def test_a_pot_named_after_what_is_in_it_keeps_its_leaf_open_when_it_is_renamed(serve, visit, muddy) -> None:
    served = serve(muddy)
    served.ask("change", changes=[{"do": "add_pot", "name": "light ink 40%", "parts": {"ink": 1}, "strength": 0.4}])
    seen = visit(served)
    seen.page.locator(".pot", has_text="light ink 40%").click()
    slider = seen.key("leaf-strength")
    slider.focus()
    for _ in range(12):
        seen.page.keyboard.press("ArrowRight")
    seen.until(lambda: seen.page.locator("#leaf h2").inner_text() == "ink 100%", "the name of now")
    assert seen.page.evaluate("document.activeElement.dataset.key") == "leaf-strength"
    assert served.session.document.design.pot("ink 100%").strength == 1
    assert served.ask("pot", pot="light ink 40%")["lights"]  # as a page may ask that hasn't heard yet
    seen.key("undo").click()
    seen.until(lambda: seen.page.locator("#leaf h2").inner_text() == "light ink 40%", "the old name")


def test_an_answer_that_comes_late_leaves_a_slider_under_the_hand_as_it_is(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    late: dict[str, list] = {"pot": [], "change": []}
    for name in late:
        seen.page.route(f"**/api/{name}", lambda route: late[route.request.url.rsplit("/", 1)[1]].append(route))
    seen.page.locator(".pot", has_text="pale ink").click()
    slider = seen.key("leaf-strength")
    before = served.session.document.design.pot("pale ink").strength
    seen.until(lambda: late["pot"], "how it looks by lamplight is asked")
    slider.press("ArrowRight")
    seen.until(lambda: late["change"], "the first press is sent")
    with seen.page.expect_response("**/api/pot"):
        late["pot"].pop().continue_()
    seen.page.evaluate("new Promise(requestAnimationFrame)")
    slider.press("ArrowRight")
    seen.page.unroute("**/api/change")
    late["change"].pop().continue_()
    seen.until(
        lambda: served.session.document.design.pot("pale ink").strength == pytest.approx(before + 0.1), "two presses"
    )
    seen.saved()
    seen.until(lambda: float(slider.input_value()) == pytest.approx(before + 0.1), "shown so")
    seen.page.unroute("**/api/pot")  # lets the held ones go too


def test_what_is_half_typed_stays_when_something_comes_in(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("tab-cloth").click()
    seen.key("cloth-weight").fill("95")  # not sent before the field is left
    served.ask("change", changes=[{"do": "set_title", "title": "Brown leaves, again"}])  # from another page
    seen.until(lambda: seen.page.locator("#title").input_value() == "Brown leaves, again", "the news")
    assert seen.key("cloth-weight").input_value() == "95"
    assert served.session.document.design.cloth.grams_per_m2 != 95
    seen.key("cloth-weight").press("Tab")
    seen.until(lambda: served.session.document.design.cloth.grams_per_m2 == 95, "the weight")
    seen.page.keyboard.press("Control+z")
    seen.until(lambda: seen.key("cloth-weight").input_value() != "95", "taken back")


def test_what_is_under_the_hand_is_not_drawn_anew_before_it_is_let_go(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("tab-step").click()
    seen.key("tag-4").click()
    button = seen.page.locator("#leaf button", has_text="Remove step")
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    count = len(served.session.document.design.steps)
    seen.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    seen.page.mouse.down()
    with seen.page.expect_response("**/api/state"):
        served.ask("change", changes=[{"do": "set_title", "title": "Brown leaves, again"}])  # from another page
    seen.page.evaluate("new Promise(requestAnimationFrame)")
    seen.page.mouse.up()
    seen.until(lambda: len(served.session.document.design.steps) == count - 1, "the click counted")
    seen.until(lambda: seen.page.locator("#title").input_value() == "Brown leaves, again", "the news, afterwards")


def test_crackle_spread_and_grey(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    before = seen.page.locator("canvas.now").evaluate("c => c.toDataURL()")
    seen.key("tag-4").click()
    seen.key("wax-crackle").focus()
    seen.page.keyboard.press("End")
    seen.until(lambda: seen.page.locator("canvas.now").evaluate("c => c.toDataURL()") != before, "cracks")
    seen.key("wax-grey").select_option("thin")
    seen.key("tag-1").click()
    seen.key("paint-spread-1").check()
    seen.key("paint-reach-1").wait_for()
    seen.saved()
    design = read_design(muddy)
    assert design.steps[3].crackle == 1
    assert design.steps[3].grey == "thin"
    assert design.steps[0].paints[0].spread


def drawn(muddy) -> np.ndarray:
    return np.asarray(Image.open(muddy / read_design(muddy).steps[3].mask.picture).convert("L"))


def test_brush_and_eraser_lay_the_width_of_the_real_tool(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.key("tag-4").click()
    seen.key("touch-null").click()
    seen.key("tool").select_option("small_brush")
    box = seen.page.locator("#cloth").bounding_box()

    def stroke(y: float) -> None:
        seen.page.mouse.move(box["x"] + box["width"] * 0.1, box["y"] + box["height"] * y)
        seen.page.mouse.down()
        seen.page.mouse.move(box["x"] + box["width"] * 0.9, box["y"] + box["height"] * y, steps=10)
        seen.page.mouse.up()

    stroke(0.75)
    seen.until(lambda: "touched/" in (muddy / "design.toml").read_text(), "the new mask")
    seen.saved()
    column = drawn(muddy)[:, 120]
    assert (column[180:270] < 128).sum() == pytest.approx(5.0 * 2, abs=1.5), "5 mm at 2 pixels to the mm"
    seen.key("tool").select_option("brush")
    seen.key("scrape").click()
    stroke(0.3)
    seen.until(lambda: (drawn(muddy)[:, 300] < 128).sum() < 121 + 10 - 20, "wax scraped off")
    assert (drawn(muddy)[40:160, 300] > 128).sum() == pytest.approx(12.0 * 2, abs=1.5)
    seen.key("undo").click()
    seen.key("undo").click()
    seen.saved()
    seen.until(lambda: read_design(muddy).steps[3].mask.picture == "petals.png", "the mask as it was")


def test_a_dab_by_the_keyboard(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.key("tag-4").click()
    seen.key("touch-null").click()
    seen.page.locator("#cloth").focus()
    seen.page.keyboard.press("ArrowDown")
    seen.page.keyboard.press("Enter")
    seen.until(lambda: "touched/" in (muddy / "design.toml").read_text(), "the dab")
    seen.page.keyboard.press("Escape")
    assert seen.key("touch-null").is_visible()


def test_a_step_is_added_and_taken_out(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.key("add-step").click()
    sheet = seen.page.locator("dialog")
    sheet.locator("select").first.select_option("dye")
    sheet.get_by_label("Pot or dye").select_option("book:navy")
    sheet.locator("button[type=submit]").click()
    seen.page.wait_for_selector('[data-key="tag-6"]')
    seen.key("take-out").click()
    seen.until(lambda: seen.key("tag-6").count() == 0, "five steps")
    seen.saved()
    assert len(read_design(muddy).steps) == 5


def test_what_cannot_be_done_is_said_and_changes_nothing(serve, visit, muddy) -> None:
    served = serve(muddy)
    seen = visit(served)
    seen.page.locator(".pot", has_text="pale ink").click()
    seen.key("pot-name").fill("pink")
    seen.key("pot-name").press("Enter")
    seen.page.wait_for_selector("#notice.bad")
    assert "another name" in seen.page.inner_text("#notice")
    assert served.session.document.stack.undo_words is None
    seen.errors[:] = [error for error in seen.errors if "422" not in error]


def test_a_colour_that_is_none_is_told_beside_its_field(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator(".pot", has_text="pale ink").click()
    seen.key("wanted-words").fill("banana skin")
    seen.key("wanted-words").press("Enter")
    told = seen.page.locator("#wanted-bad")
    told.wait_for()
    assert "banana skin" in told.inner_text()
    assert "isn't a colour that batiksim knows." in told.inner_text()
    assert "#c05f7a" in told.inner_text(), "how a colour is written"
    assert seen.key("wanted-words").get_attribute("aria-describedby") == "wanted-bad"
    assert seen.page.locator("#notice").is_hidden()
    seen.errors.clear()  # the refusal itself
    seen.key("wanted-words").fill("dark olive")
    seen.key("wanted-words").press("Enter")
    seen.key("use-0").wait_for()
    assert told.count() == 0


def test_what_went_wrong_is_no_longer_told_once_something_works(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.key("cloth-width").fill("3")
    seen.key("cloth-width").press("Enter")
    seen.page.locator("#notice.bad").wait_for()
    seen.errors.clear()  # the refusal itself
    seen.key("cloth-width").fill("300")
    seen.key("cloth-width").press("Enter")
    seen.page.locator("#notice").wait_for(state="hidden")


def test_bowls_stay_in_their_place_when_the_order_changes(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    before = seen.page.locator(".pot").all_inner_texts()
    seen.key("tag-2").focus()
    seen.page.keyboard.press("Shift+ArrowLeft")
    seen.until(lambda: seen.key("undo").is_enabled(), "another order")
    assert seen.page.locator(".pot").all_inner_texts() == before
