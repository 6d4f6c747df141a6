"""The page in another language: it is chosen on the page, remembered, and spoken by page and server alike."""

from __future__ import annotations

import pytest

from tests.pseudo_language import CODE, forget, pseudo


def test_no_choice_where_there_is_one_language(serve, visit, monkeypatch) -> None:
    monkeypatch.setattr("batiksim.worktable.page_words.languages", lambda: ("en",))
    forget()
    seen = visit(serve())
    assert seen.page.locator("html").get_attribute("lang") == "en-GB"
    assert seen.key("language").count() == 0
    forget()


def test_the_page_changes_its_language_and_keeps_it(serve, visit, muddy, two_languages) -> None:
    served = serve(muddy)
    seen = visit(served)
    choice = seen.key("language")
    assert choice.locator("option").all_inner_texts() == ["English", pseudo("English")]
    assert choice.input_value() == "en"
    seen.page.locator(".pot", has_text="pale ink").click()
    seen.key("leaf-strength").focus()
    seen.page.keyboard.press("End")  # saved before the page loads anew
    choice.select_option(CODE)
    seen.page.wait_for_selector(f"html[lang={CODE}]")
    seen.full()
    assert seen.key("undo").inner_text() == pseudo("Undo")
    assert seen.page.title() == pseudo("{cloth} – worktable").format(cloth="Brown leaves")
    assert seen.key("language").input_value() == CODE
    assert seen.page.inner_text("#caption").startswith("⟦⟦")
    seen.page.locator(".pot", has_text="pale ink").click()
    assert served.session.document.design.pot("pale ink").strength > 2
    seen.page.reload()
    seen.full()
    assert seen.key("tab-history").inner_text() == pseudo("History")
    cookie = next(each for each in seen.context.cookies() if each["name"] == "batiksim-language")
    assert (cookie["value"], cookie["sameSite"], cookie["path"]) == (CODE, "Strict", "/")
    seen.key("language").select_option("en")
    seen.page.wait_for_selector("html[lang=en-GB]")
    seen.full()
    assert seen.key("undo").inner_text() == "Undo"


def test_what_only_this_page_has_is_asked_about_first(serve, visit, muddy, two_languages) -> None:
    seen = visit(serve(muddy))
    seen.key("tab-plan").click()
    seen.key("fold-workshop").click()
    seen.key("start-workshop").click()
    seen.key("open-workshop.pdf").wait_for()
    seen.key("language").select_option(CODE)
    seen.page.get_by_role("button", name="Cancel").click()
    assert seen.key("language").input_value() == "en"
    assert seen.key("open-workshop.pdf").count() == 1
    seen.key("language").select_option(CODE)
    seen.page.get_by_role("button", name="Change the language").click()
    seen.page.wait_for_selector(f"html[lang={CODE}]")
    seen.full()


def test_numbers_plurals_and_lists_are_put_in_as_the_language_has_them(serve, visit, two_languages) -> None:
    english = visit(serve())
    say = "async ([key, values]) => (await import('/page/words.js')).say(key, values)"
    told = english.page.evaluate
    assert told(say, ["page.pot.parts", {"count": 1}]) == "1 part"
    assert told(say, ["page.pot.parts", {"count": 1200.5}]) == "1200.5 parts"
    assert told(say, ["page.size.detail", {"mm": 0.378, "cols": 1200, "rows": 900}]).startswith("Detail: 0.38 mm")
    assert told(say, ["page.add.step_on", {"step": "navy", "pictures": ["a", "b", "c"]}]) == "navy on a, b and c"
    assert told(say, ["page.problems.severity", {"severity": "worth a look"}]) == "Worth a look"
    for wrong in (["page.nowhere", {}], ["page.pot.parts", {}], ["page.mm", {"mm": None}]):
        with pytest.raises(Exception, match="no text: page.nowhere|page.pot.parts: no count|page.mm: no mm"):
            told(say, wrong)
    english.context.add_cookies([{"name": "batiksim-language", "value": CODE, "url": english.page.url}])
    english.page.reload()
    english.full()
    assert told(say, ["page.pot.parts", {"count": 1200.5}]) == pseudo("{n} parts").format(n="1200,5")
    assert told(say, ["page.pot.parts", {"count": 1}]) == pseudo("{n} part").format(n="1")
