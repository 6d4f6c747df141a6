"""The words of the page: its modules carry keys, the catalogue has a text for each, and each text is used."""

from __future__ import annotations

import re
import string

import pytest

from batiksim.texts.catalogue import texts
from batiksim.worktable.page_words import PAGE

SOURCES = {path.name: path.read_text(encoding="utf-8") for path in sorted(PAGE.iterdir()) if path.suffix != ".svg"}
TEXTS = {f"page.{key}": text for key, text in texts().forms("page").items()}
WHOLE = re.compile(r"\"(page\.[\w.-]+)\"|\{(page\.[\w.]+)\}")  # in a module, in the HTML
BUILT = re.compile(r"`(page\.[^`]*)`")
# Texts of a module that are no words: of code, of CSS and SVG, of addresses, of what the server is asked.
STRING = re.compile(r'(?<![=\w])"([^"\n]*)"|`((?:[^`\\]|\\.)*)`')


def used() -> tuple[set[str], list[re.Pattern[str]]]:
    """Keys that stand in the page as they are, and patterns of those that are put together."""
    text = "\n".join(SOURCES.values())
    whole = {first or second for first, second in WHOLE.findall(text)}
    built = [re.sub(r"\$\{(?:[^{}]|\{[^{}]*\})*\}", "\0", key) for key in BUILT.findall(text)]
    return whole, [re.compile(re.escape(key).replace(re.escape("\0"), r"[\w-]+")) for key in built]


def test_every_key_of_the_page_has_a_text_and_every_text_is_used() -> None:
    whole, patterns = used()
    assert whole - set(TEXTS) == set()
    assert [pattern.pattern for pattern in patterns if not any(map(pattern.fullmatch, TEXTS))] == []
    left = {key for key in set(TEXTS) - whole if not any(pattern.fullmatch(key) for pattern in patterns)}
    assert left == {"page.language.own_name"}, "that one is for the server"


def test_no_module_has_words_of_its_own() -> None:
    """What a maker could read would have a space or a capital letter in it."""
    for name, source in SOURCES.items():
        if not name.endswith(".js"):
            continue
        source = re.sub(r"^\s*(?://|/?\*).*$|\s// .*$", "", source, flags=re.M)
        for plain, built in STRING.findall(source):
            text = re.sub(r"\$\{.*\}", "", plain or built)
            assert not re.search(r"[A-Za-z]{3,} [a-z]{2,} [a-z]{2,}", text), (name, text)


def test_the_html_has_no_words_of_its_own() -> None:
    page = SOURCES["index.html"]
    shown = re.findall(r">([^<>]+)<", page) + re.findall(r'(?:aria-label|title|alt|placeholder)="([^"]*)"', page)
    assert [text for text in shown if text.strip() and not re.fullmatch(r"\{[\w.]+\}", text)] == []


@pytest.mark.parametrize("key", TEXTS)
def test_texts_have_braces_that_the_page_understands(key: str) -> None:
    forms = TEXTS[key]
    for text in [forms] if isinstance(forms, str) else forms:
        for _, name, pattern, conversion in string.Formatter().parse(text):
            assert conversion is None or name is None
            if name is not None:
                assert name.isidentifier()
                assert re.fullmatch(r"(capital|0(\.[0#]+)?)?", pattern or "")
