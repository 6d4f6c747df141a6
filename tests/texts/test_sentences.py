"""Keys in the code and sentences in the catalogue fit each other, in every language."""

from __future__ import annotations

import ast
import re
import string
import sys
from functools import cache
from pathlib import Path

import pytest

from batiksim.texts.catalogue import ARGUMENT, LOCALE, languages

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "tools"))
import catalogue as tool  # noqa: E402

SOURCES = sorted((ROOT / "batiksim").rglob("*.py"))
KEY = re.compile(r"[a-z_]+(\.[\w-]+)+")
WHERE = {"file", "field", "fix"}  # of an error, and no parts of its sentence


@cache
def sentences(language: str) -> dict[str, tuple[str, ...]]:
    """Every sentence of a language by key, in all its forms."""
    forms = {}
    for message in tool.read(language):
        if message.id:
            text = message.string
            forms[tool.key_of(message)] = (text,) if isinstance(text, str) else tuple(text)
    return forms


ENGLISH = sentences("en")
ROOMS = {key.partition(".")[0] for key in ENGLISH}


def braces(forms: tuple[str, ...]) -> set[str]:
    """The names of what is put into a sentence."""
    named = {name for text in forms for _, name, _, _ in string.Formatter().parse(text) if name is not None}
    return named - {ARGUMENT}


def strings(source: Path) -> tuple[set[str], set[str]]:
    """Texts in a module that may be keys, and patterns of those that are put together."""
    whole, built = set(), set()
    tree = ast.parse(source.read_text(encoding="utf-8"))
    inside = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            parts = [re.escape(p.value) if isinstance(p, ast.Constant) else r"[\w. -]+" for p in node.values]
            built.add("".join(parts))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inside:
            whole.add(node.value)
    return whole, {pattern for pattern in built if re.match(rf"({'|'.join(ROOMS)})\\?\.", pattern)}


WHOLE, BUILT = (set().union(*found) for found in zip(*map(strings, SOURCES), strict=True))


def test_every_key_in_the_code_has_a_sentence():
    tables = {key.rpartition(".")[0] for key in ENGLISH}
    tables |= {table.rpartition(".")[0] for table in tables}
    keys = {text for text in WHOLE if KEY.fullmatch(text) and text.partition(".")[0] in ROOMS}
    files = {key for key in keys if re.search(r"\.(toml|png|pdf|json|py|html|js|webp|svg|csv|typ)$", key)}
    assert sorted(keys - set(ENGLISH) - tables - files) == []


def test_every_sentence_is_used():
    page = {key for key in ENGLISH if key.startswith("page.")}  # held by the tests of the page
    rest = [re.compile(pattern) for pattern in BUILT]
    used = {key for key in ENGLISH if key in WHOLE or any(pattern.fullmatch(key) for pattern in rest)}
    advice = {f"{key}.fix" for key in used}
    tables = {text for text in WHOLE if text in {key.rpartition(".")[0] for key in ENGLISH}}
    below = {key for key in ENGLISH if key.rpartition(".")[0] in tables}
    assert sorted(set(ENGLISH) - used - advice - page - below) == []


def calls() -> list[tuple[str, str, set[str]]]:
    """(place, key, parts) of every sentence that is said with a whole key and parts by name alone."""
    found = []
    for source in SOURCES:
        for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not node.args or not isinstance(node.args[0], ast.Constant):
                continue
            called, key = ast.unparse(node.func), node.args[0].value
            names = {keyword.arg for keyword in node.keywords}
            if called not in ("say", "tell", "texts()", "BatikError") or key not in ENGLISH or None in names:
                continue
            place = f"{source.name}:{node.lineno}"
            parts = names - WHERE if called == "BatikError" else names
            found.append((place, key, parts))
            if called == "BatikError" and "fix" not in names and f"{key}.fix" in ENGLISH:
                found.append((place, f"{key}.fix", parts))
    return found


CALLS = calls()


def test_what_is_put_in_is_given():
    assert len(CALLS) > 900
    assert [(place, key) for place, key, parts in CALLS if braces(ENGLISH[key]) - parts] == []


def test_a_sentence_with_a_plural_is_given_its_number():
    """An error's number belongs to its problem, and its advice may do without."""
    several = {key for key, forms in ENGLISH.items() if len(forms) > 1}
    assert [(place, key) for place, key, parts in CALLS if key in several and "count" not in parts] == []
    single = {key for key in ENGLISH if key not in several and not key.endswith(".fix")}
    assert [(place, key) for place, key, parts in CALLS if key in single and "count" in parts] == []


@pytest.mark.parametrize("language", languages())
def test_every_language_is_whole(language):
    forms = sentences(language)
    assert set(forms) == set(ENGLISH)
    number = tool.read(language).num_plurals
    for key, texts in forms.items():
        assert len(texts) == (number if len(ENGLISH[key]) > 1 else 1), key
        assert all(text == text.strip() != "" for text in texts), key
        assert braces(texts) == braces(ENGLISH[key]), key
        assert {text.count("\n") for text in texts} <= {text.count("\n") for text in ENGLISH[key]}, key


@pytest.mark.parametrize("language", languages())
def test_the_compiled_catalogue_is_up_to_date(language):
    ordered = tool.ordered(tool.read(language), tool.read("en"))
    assert (LOCALE / f"{language}.mo").read_bytes() == tool.as_mo(ordered), "run python tests/tools/catalogue.py"
