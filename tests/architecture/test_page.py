"""The page's modules: no cycle among their imports, one store, and the names that they send are known to the server."""

from __future__ import annotations

import re
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import batiksim
from batiksim.changes import dyes_and_pots, steps, verbs
from batiksim.changes.verbs import VERBS
from batiksim.checks import remedy_search
from batiksim.worktable.long_jobs import LONG_JOBS
from batiksim.worktable.routes import ROUTES

PAGE = Path(batiksim.__file__).resolve().parent / "worktable" / "page"
SOURCES = {path.stem: path.read_text(encoding="utf-8") for path in sorted(PAGE.glob("*.js"))}
IMPORT = re.compile(r'^import \{([^}]*)\} from "/page/([\w-]+)\.js";$', re.M)
EXPORT = re.compile(r"^export (?:async )?(?:function|const|let|class) (?:\{[^}]*\}|(\w+))", re.M)


def imported(source: str) -> dict[str, list[str]]:
    """What a module takes from which other."""
    return {home: [name.strip() for name in names.split(",")] for names, home in IMPORT.findall(source)}


def test_every_import_is_read_here() -> None:
    for name, source in SOURCES.items():
        assert len(re.findall(r"\bimport\b.*\bfrom\b|\bimport\(", source)) == len(IMPORT.findall(source)), name


def test_no_module_of_the_page_needs_one_that_needs_it() -> None:
    graph = {name: set(imported(source)) for name, source in SOURCES.items()}
    order = list(TopologicalSorter(graph).static_order())  # raises CycleError, which names the cycle
    assert set(order) == set(SOURCES), "each module that is imported is there"
    assert (
        order.index("store") < order.index("sync") < order.index("changes") < order.index("line") < order.index("main")
    )


@pytest.mark.parametrize("name", SOURCES)
def test_what_is_imported_is_exported_and_used(name: str) -> None:
    source = SOURCES[name]
    body = IMPORT.sub("", source)
    for home, names in imported(source).items():
        assert set(names) <= set(EXPORT.findall(SOURCES[home])), home
        assert [each for each in names if not re.search(rf"(?<![\w.]){each}\b", body)] == [], home


def test_every_module_is_reached_from_main() -> None:
    reached, waiting = set(), ["main"]
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            waiting += imported(SOURCES[name])
    assert reached == set(SOURCES)


def test_what_the_page_knows_of_the_document_stands_in_the_store_alone() -> None:
    """No other module keeps a design or its analysis of its own."""
    for name, source in SOURCES.items():
        kept = re.findall(r"^(?:export )?(?:let|const) \w+ = .*\bstore\.(?:design|analysis)\b", source, re.M)
        assert [line for line in kept if "=>" not in line] == [], name


def sent() -> set[str]:
    """The verbs that the page and the remedies send."""
    python = Path(remedy_search.__file__).read_text(encoding="utf-8")
    calls = re.findall(r'shareSlider\(number, "(\w+)"', SOURCES["leaf-step"])
    return {*re.findall(r'\bdo: "(\w+)"', "\n".join(SOURCES.values())), *re.findall(r'"do": "(\w+)"', python), *calls}


def test_the_page_sends_every_verb_by_the_name_of_its_function() -> None:
    assert sent() == set(VERBS)
    for name, (change, _) in VERBS.items():
        assert name == change.__name__
        assert change is getattr(steps, name, None) or change is getattr(dyes_and_pots, name, None)
    assert len(VERBS) == len(verbs._ROWS)


def test_the_page_asks_by_names_that_the_server_knows() -> None:
    text = "\n".join(SOURCES.values())
    asked = set(re.findall(r'\b(?:ask|act|askForDesign)\("(\w+)"', text))
    assert asked | {"regions", "findings"} == set(ROUTES), "those two are asked for by turns, in sync.js"
    assert set(re.findall(r'(?<![\w.])start\("([\w-]+)"', text)) == set(LONG_JOBS)
