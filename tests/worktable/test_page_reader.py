"""Every action by keyboard, readable by a screen reader, in light and dark, on large and small screens."""

from __future__ import annotations

from pathlib import Path

import pytest

LOOKS = {
    "light": {},
    "dark": {"color_scheme": "dark"},
    "phone": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True},
    "phone dark": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "color_scheme": "dark"},
}


def troubles(seen) -> list[str]:
    """What axe-core finds; its script is run in a world of its own, as the page's policy lets no other in."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-core")
    script = (Path(axe.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
    if not seen.page.evaluate("'axe' in window"):
        seen.page.evaluate(f"() => {{ {script} }}")
    seen.page.evaluate("document.body.style.backgroundImage = 'none'")  # else contrast on the weave can't be judged
    found = seen.page.evaluate("async () => await axe.run(document)")
    assert len(found["passes"]) > 15, "it did look"
    unsure = [one for one in found["incomplete"] if one["id"] != "color-contrast"]
    found = found["violations"] + unsure
    return [f"{one['id']}: {node['html'][:160]} {node['failureSummary']}" for one in found for node in one["nodes"]]


@pytest.mark.parametrize("look", LOOKS)
def test_axe_finds_nothing_on_any_leaf(serve, visit, muddy, look: str) -> None:
    seen = visit(serve(muddy), **LOOKS[look])
    seen.page.wait_for_selector(".ring")
    assert troubles(seen) == []
    seen.key("tag-4").click()
    seen.key("touch-null").click()
    assert troubles(seen) == []
    seen.key("tool-down").click()
    seen.key("tag-1").click()
    assert troubles(seen) == []
    seen.page.locator(".pot", has_text="pale ink").click()
    seen.page.locator("summary", has_text="Add drops").click()
    assert troubles(seen) == []
    seen.page.locator("#cloth").focus()
    seen.page.keyboard.press("Enter")
    seen.page.get_by_role("heading", name="This spot", exact=True).wait_for()
    assert troubles(seen) == []
    seen.page.get_by_role("tab", name="Plan", exact=True).click()
    for fold in ("orders", "handout", "tracing", "workshop", "from-picture", "calibrate"):
        seen.key(f"fold-{fold}").click()
    seen.key("start-workshop").click()
    seen.key("open-workshop.pdf").wait_for(timeout=60_000)
    assert troubles(seen) == []
    picture = {"name": "strip.png", "mimeType": "image/png", "buffer": (muddy / "leaves.png").read_bytes()}
    seen.page.locator("details[data-key=calibrate] input[type=file]").set_input_files(picture)
    seen.page.locator("dialog .lens").press("Enter")
    seen.key("patch-name").fill("ink")
    seen.page.locator("dialog .lens").press("Enter")
    seen.key("patch-0").wait_for()
    assert troubles(seen) == []
    seen.page.keyboard.press("Escape")
    seen.page.get_by_role("tab", name="History", exact=True).click()
    seen.page.get_by_text("None yet").wait_for()
    assert troubles(seen) == []


def test_axe_finds_nothing_on_loose_sheets_and_trials(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.page.locator("button", has_text="Try: Wax").first.click()
    seen.page.wait_for_selector("canvas.other[data-shown^=full]")
    assert troubles(seen) == []
    for name in ("begin", "open", "add-step", "new-dye", "new-pot"):
        seen.key(name).click()
        seen.page.locator("dialog").wait_for()
        assert troubles(seen) == []
        seen.page.keyboard.press("Escape")
        seen.page.locator("dialog").wait_for(state="detached")
        assert seen.page.evaluate("document.activeElement.dataset.key") == name, "the focus comes back"


@pytest.mark.parametrize("width", [320, 390, 768, 1024, 1440, 2200])
def test_nothing_sticks_out_sideways(serve, visit, muddy, width: int) -> None:
    seen = visit(serve(muddy), viewport={"width": width, "height": 800})
    for tab in ("Step", "Pot", "Plan", "History"):
        seen.page.get_by_role("tab", name=tab, exact=True).click()
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    assert seen.page.locator("#cloth").bounding_box()["width"] > min(250, width * 0.5)


class Keys:
    """A person with nothing but a keyboard: Tab to what has a name or a key, then press."""

    def __init__(self, seen) -> None:
        self.seen = seen

    def to(self, css: str, *, back: bool = False) -> None:
        been = []
        for _ in range(160):
            been.append(self.seen.page.evaluate("document.activeElement.dataset.key ?? document.activeElement.id"))
            if self.seen.page.evaluate("(css) => document.activeElement?.matches(css) ?? false", css):
                outline = self.seen.page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
                assert outline != "none", f"the focus on {css} can't be seen"
                return
            self.seen.page.keyboard.press("Shift+Tab" if back else "Tab")
        raise AssertionError(f"Tab never comes to {css}, only to {been}")

    def press(self, *keys: str) -> None:
        for key in keys:
            self.seen.page.keyboard.press(key)


def test_once_through_with_the_keyboard_alone(serve, visit, muddy) -> None:
    """See a step, ask a spot, find the trouble, try the remedy, do it, thin a pot, print the handout, undo."""
    served = serve(muddy)
    seen = visit(served)
    keys = Keys(seen)
    keys.to('[data-key="plate-0"]')
    keys.press("ArrowRight", "ArrowRight", "ArrowRight", "ArrowRight")  # along the line to the plate after step 2
    keys.to('[data-key="plate-2"]')
    keys.press("Enter")
    seen.until(lambda: "After step 2" in seen.page.inner_text("#caption"), "the plate")
    keys.to("#cloth")
    keys.press("ArrowLeft", "ArrowLeft", "Enter")
    seen.page.get_by_role("heading", name="This spot", exact=True).wait_for()
    keys.to('[role="tab"][aria-selected="true"]')
    keys.press("ArrowLeft")
    seen.until(lambda: "Problems" in seen.page.inner_text("#leaf"), "the cloth's leaf")
    seen.key("trial-0-0").wait_for()
    keys.to('[data-key="trial-0-0"]')
    keys.press("Enter")
    keys.to('[data-key="trial-keep"]', back=True)
    keys.press("Enter")
    seen.until(lambda: served.session.document.stack.undo_words is not None, "the remedy done")
    keys.to('[data-key="strength-0"]', back=True)
    keys.press("ArrowLeft", "ArrowLeft")
    seen.until(lambda: "strength" in str(served.session.document.stack.undo_words), "a thinner pot")
    keys.to('[role="tab"][aria-selected="true"]')
    for _ in range(4):
        keys.press("ArrowRight")
    seen.until(lambda: "Plan and print" in seen.page.inner_text("#leaf"), "the plan's leaf")
    keys.to('[data-key="fold-handout"]')
    keys.press("Enter")
    keys.to('[data-key="start-handout"]')
    keys.press("Enter")
    seen.key("open-handout.pdf").wait_for(timeout=60_000)
    keys.press("Control+z")
    seen.until(lambda: served.session.document.stack.redo_words is not None, "taken back")
