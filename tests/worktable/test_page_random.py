"""Anyone may press anything in any order: seeded random clicking raises no error in page or server.

A short run stands here; `BATIKSIM_CLICKS=20000 pytest tests/worktable/test_page_random.py` presses for about an hour.
"""

from __future__ import annotations

import os
import random

import pytest

CLICKS = int(os.environ.get("BATIKSIM_CLICKS", "60"))
PRESSABLE = "button:visible, select:visible, input:visible, summary:visible, #cloth"
KEYS = [
    "Enter",
    "ArrowLeft",
    "ArrowRight",
    "ArrowUp",
    "ArrowDown",
    "Escape",
    "Delete",
    "+",
    "-",
    "0",
    "Control+z",
    "Tab",
]


def choose(chance: random.Random, seen, thing) -> None:
    """Do something with one control that suits it."""
    kind = thing.evaluate("e => e.tagName === 'INPUT' ? e.type : e.tagName")
    if kind == "SELECT":
        count = thing.evaluate("e => e.options.length")
        thing.select_option(index=chance.randrange(count))
    elif kind == "range":
        thing.evaluate(
            """(e, part) => {
                e.value = Number(e.min) + part * (Number(e.max) - Number(e.min));
                e.dispatchEvent(new Event("input", { bubbles: true }));
                e.dispatchEvent(new Event("change", { bubbles: true }));
            }""",
            chance.random(),
        )
    elif kind in ("text", "number"):
        thing.fill(chance.choice(["1", "12", "300", "blue"]) if kind == "text" else chance.choice(["1", "12", "300"]))
        thing.press("Enter")
    elif kind in ("color", "file"):
        pass  # these open windows of the system
    elif thing.get_attribute("id") == "cloth":
        box = thing.bounding_box()
        x, y = (box["x"] + box["width"] * chance.random(), box["y"] + box["height"] * chance.random())
        seen.page.mouse.move(x, y)
        seen.page.mouse.down()
        seen.page.mouse.move(x + chance.randint(-80, 80), y + chance.randint(-80, 80), steps=3)
        seen.page.mouse.up()
    else:
        thing.click(timeout=1500)


@pytest.mark.parametrize("seed", [1, 2])
def test_random_clicking_raises_nothing(serve, visit, muddy, seed: int, capfd, caplog) -> None:
    from playwright.sync_api import Error

    served = serve(muddy)
    seen = visit(served)
    seen.context.set_default_timeout(1500)
    chance = random.Random(seed)
    for _ in range(CLICKS):
        try:
            if chance.random() < 0.15:
                seen.page.keyboard.press(chance.choice(KEYS))
                continue
            things = seen.page.locator("dialog " + PRESSABLE.replace(", ", ", dialog "))
            if not things.count():
                things = seen.page.locator(PRESSABLE)
            count = things.count()
            if count:
                choose(chance, seen, things.nth(chance.randrange(count)))
        except Error:
            continue  # it went away or lay beneath something just then: a person would press something else
    seen.settled()
    refused = [error for error in seen.errors if "422" not in error and "ERR_ABORTED" not in error]
    assert refused == [], "a refusal in words is no error; anything else is"
    seen.errors.clear()
    served.ask("state")
    assert "Traceback" not in capfd.readouterr().err
    assert not [record for record in caplog.records if record.levelname == "ERROR"]
