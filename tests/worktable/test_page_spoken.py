"""The whole page in another language: no word is left that isn't the catalogue's, and screen readers are told which."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from tests.pseudo_language import CODE, cloth_of_capitals, strange

SHOWN = """() => {
  const told = [document.title];
  for (const node of document.querySelectorAll("body *")) {
    if (node.closest("script, style, template") || !node.checkVisibility({ visibilityProperty: true })) continue;
    for (const name of ["aria-label", "title", "placeholder", "alt", "aria-valuetext", "aria-description"])
      if (node.hasAttribute(name)) told.push(node.getAttribute(name));
    for (const child of node.childNodes) if (child.nodeType === Node.TEXT_NODE) told.push(child.textContent);
  }
  return told.filter((text) => text.trim());
}"""


class Crawl:
    """Looks at all that the page shows, wherever it is, and remembers which words weren't of the catalogue."""

    def __init__(self, seen: Any) -> None:
        self.seen = seen
        self.found: dict[str, set[str]] = {}

    def look(self, place: str) -> None:
        """Look at what is shown now."""
        texts = self.seen.page.evaluate(SHOWN)
        assert len(texts) > 20
        strangers = {text: strange(text) for text in texts}
        told = {text for text, words in strangers.items() if words}
        if told:
            self.found[place] = told


def speak(seen: Any, code: str) -> None:
    """Load the page anew in a language."""
    seen.context.add_cookies([{"name": "batiksim-language", "value": code, "url": seen.page.url}])
    seen.page.reload()
    seen.full()


def test_every_word_of_the_page_is_the_catalogues(serve, visit, tmp_path: Path, two_languages) -> None:
    served = serve(cloth_of_capitals(tmp_path / "home" / "ZK"))
    seen = visit(served)
    speak(seen, CODE)
    crawl = Crawl(seen)
    seen.page.wait_for_selector(".ring")
    crawl.look("the cloth")
    for number in range(1, 6):
        seen.key(f"tag-{number}").click()
        crawl.look(f"step {number}")
    seen.key("tag-1").click()
    seen.key("touch-null").click()
    crawl.look("touching up")
    seen.key("tool-down").click()
    for pot in ("GRN", "BLW"):
        seen.page.locator(".pot", has_text=pot).first.click()
        for fold in seen.page.locator("#leaf summary").all():
            fold.click()
        crawl.look(f"pot {pot}")
    seen.page.locator("#cloth").focus()
    seen.page.keyboard.press("Enter")
    seen.page.locator(".spot, #leaf h2").first.wait_for()
    crawl.look("a spot")
    seen.key("tab-plan").click()
    for fold in ("orders", "handout", "tracing", "workshop", "from-picture", "calibrate"):
        seen.key(f"fold-{fold}").click()
    crawl.look("plan and print")
    for work, made in (("workshop", "workshop.pdf"), ("tracing", "sheets.pdf"), ("orders", "orders.png")):
        seen.key(f"start-{work}").click()
        seen.key(f"open-{made}").wait_for(timeout=120_000)
        crawl.look(f"made: {work}")
    seen.key("tab-history").click()
    seen.page.locator("#leaf h2").wait_for()
    crawl.look("history")
    for name in ("begin", "open", "add-step", "new-dye", "new-pot"):
        seen.key(name).click()
        seen.page.locator("dialog").wait_for()
        crawl.look(f"dialog {name}")
        seen.page.keyboard.press("Escape")
        seen.page.locator("dialog").wait_for(state="detached")
    assert crawl.found == {}


RULES = ["html-has-lang", "html-lang-valid", "html-xml-lang-mismatch", "valid-lang"]


@pytest.mark.parametrize(("code", "told"), [("en", "en-GB"), ("id", "id")])
def test_axe_knows_the_language_of_the_page(serve, visit, muddy, code: str, told: str) -> None:
    """The rules of axe-core for `lang`, in both languages; the page says the one that it speaks."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-core")
    seen = visit(serve(muddy))
    speak(seen, code)
    assert seen.page.locator("html").get_attribute("lang") == told
    script = (Path(axe.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
    seen.page.evaluate(f"() => {{ {script} }}")
    rules = {"runOnly": {"type": "rule", "values": RULES}}
    found = seen.page.evaluate("async (rules) => await axe.run(document, rules)", rules)
    assert [one["id"] for one in found["violations"] + found["incomplete"]] == []
    assert {one["id"] for one in found["passes"]} >= {"html-has-lang", "html-lang-valid"}


def test_a_new_maker_changes_the_language_and_prints_a_handout_in_it(serve, visit, muddy) -> None:
    seen = visit(serve(muddy))
    seen.key("language").select_option("id")
    seen.page.wait_for_selector("html[lang=id]")
    seen.full()
    assert seen.key("language").locator("option:checked").inner_text() == "Bahasa Indonesia"
    seen.key("tab-plan").click()
    seen.key("fold-handout").click()
    seen.key("start-handout").click()
    seen.key("save-handout.pdf").wait_for(timeout=120_000)
    with seen.page.expect_download() as waiting:
        seen.key("save-handout.pdf").click()
    with pdfplumber.open(waiting.value.path()) as pages:
        text = "\n".join(page.extract_text() for page in pages.pages)
    assert "Langkah 1" in text
    assert "Step 1" not in text
