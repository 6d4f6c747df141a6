"""The documentation site: every public name and command is on it, its examples are good, and it builds by itself."""

from __future__ import annotations

import html
import importlib.util
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from PIL import Image
from sphinx.util.inventory import InventoryFile

import batiksim
from batiksim.cli import main
from batiksim.files.measurements.spectra import read_spectrum
from batiksim.files.measurements.swatches import read_swatches
from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import read_book
from batiksim.files.toml.reading import read_prices
from batiksim.files.toml.strips import read_strip

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "batiksim" / "docs"


def loaded(path: Path):
    """A module that is no part of any package."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = sys.modules[path.stem] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


public = loaded(DOCS / "making" / "public_names.py")
snippets = loaded(DOCS / "making" / "snippets.py")
GALLERY = re.findall(
    r"^## (.+?)\n(?:.(?!^## ))*?^```python\n(.*?)^```$", (DOCS / "gallery.md").read_text(), re.M | re.S
)
SHOWN = len(re.findall(r"^```python$", (DOCS / "gallery.md").read_text(), re.M))


def page(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


def under(name: str, heading: str, kind: str = "toml") -> list[str]:
    """The examples of one kind in a section of a page."""
    (section,) = re.findall(rf"^## {heading}\n(.*?)(?=^## |\Z)", page(name), re.M | re.S)
    return re.findall(rf"^```{kind}\n(.*?)^```$", section, re.M | re.S)


# Python


def test_every_public_name_has_a_page_of_its_own():
    names = list(public.all_names())
    for module in {one.module for one in names}:
        assert {one.name for one in names if one.module == module} == set(importlib.import_module(module).__all__)
    kinds = {one.name: one.kind for one in names}
    some = {"preview": "function", "Preview": "result", "Design": "value", "BatikError": "error", "read_book": "file"}
    assert some.items() <= kinds.items()
    pages = [one.page.casefold() for one in names]
    assert len(set(pages)) == len(pages), "some disks don't tell capital letters apart"
    assert set(kinds.values()) <= set(public.TITLES)


def test_what_a_page_asks_for():
    by_name = {one.name: one.source().splitlines() for one in public.public_names("batiksim")}
    assert by_name["preview"] == ["preview", "=======", "", ".. autofunction:: batiksim.preview"]
    assert by_name["BatikError"][3:5] == [".. autoexception:: batiksim.BatikError", "   :members:"]
    assert "   :inherited-members: object" in by_name["Cloth"]
    assert "written" in by_name["Cloth"][-1], "how values are written is nobody's business"


def test_snippets_of_the_gallery_are_short():
    assert len(GALLERY) == SHOWN >= 3, "each has a heading of its own"
    assert [title for title, code in GALLERY if len(code.splitlines()) > snippets.MOST_LINES] == []
    assert snippets.MOST_LINES < 15


@pytest.mark.full
@pytest.mark.parametrize(("title", "code"), GALLERY, ids=[title for title, _ in GALLERY])
def test_each_snippet_runs_and_shows_something(title, code):
    shown = snippets.run(code)
    assert shown.picture is not None or shown.html
    if shown.picture is not None:
        assert min(shown.picture.size) > 100
        assert len(shown.picture.convert("RGB").getcolors(1 << 24)) > 1


def test_what_a_snippet_shows():
    assert snippets.run("print('wax')\n1 + 1").printed == "wax\n"
    drawn = snippets.run("import numpy as np\nnp.zeros((20, 30, 3), np.uint8)").picture
    assert drawn.size == (30, 20)
    table = snippets.run("class Table:\n    def _repr_html_(self):\n        return '<table/>'\nTable()")
    assert (table.html, table.picture) == ("<table/>", None)
    assert snippets.run("x = 1").picture is None
    assert snippets.run("import os\nprint(sorted(os.listdir()))").printed == "['sample_designs']\n"


# Commands


def test_the_page_of_commands_is_made_from_them():
    tool = loaded(ROOT / "tests" / "tools" / "commands_page.py")
    assert page("commands.md") == tool.page_text()


def test_every_command_and_option_is_on_the_page():
    head, *sections = re.split(r"^## (?=[a-z-]+$)", page("commands.md"), flags=re.M)
    by_name = {section.partition("\n")[0]: section for section in sections}
    assert set(by_name) == set(main.commands)
    for name, command in main.commands.items():
        options = [spelt for param in command.params if isinstance(param, click.Option) for spelt in param.opts]
        assert [spelt for spelt in options if not re.search(rf"{spelt}[ `]", by_name[name] + head)] == []
    assert all(f"| {code} |" in head for code in (0, 1, 2, 130))
    assert all(f"_BATIKSIM_COMPLETE={shell}_source" in head for shell in ("bash", "zsh", "fish"))


# Files


def test_the_example_of_a_design_is_read(tmp_path):
    (text,) = under("files.md", "The design")
    (tmp_path / "design.toml").write_text(text, encoding="utf-8")
    (cgats,) = [example for example in under("files.md", "Measured reflectance", "text") if "CGATS" in example]
    more = " ".join(f"SPECTRAL_NM_{nm}" for nm in range(460, 701, 20))
    cgats = cgats.replace("SPECTRAL_NM_440", f"SPECTRAL_NM_440 {more}").replace("0.083", "0.083" + " 0.1" * 13)
    (tmp_path / "measured.txt").write_text(cgats, encoding="utf-8")
    for name in ("lines.png", "leaves.png"):
        Image.new("L", (30, 20), 255).save(tmp_path / name)
    design = read_design(tmp_path)
    assert design.dyes[1].samples[0] == (400, 0.052)
    assert design.pots[0].drops == {"sea blue": 6}
    assert design.steps[0].seed == 7


def test_the_examples_of_other_files_are_read(tmp_path):
    def written(heading: str, name: str) -> Path:
        (text,) = under("files.md", heading)
        (tmp_path / name).write_text(text, encoding="utf-8")
        return tmp_path / name

    assert read_book(written("The dye book", "book.toml")).entry("madder").expected_error == 2.1
    assert len(read_strip(written("The strip file", "strip.toml")).patches) == 4
    prices = read_prices(written("The price list", "prices.toml"))
    assert prices.packs["cloth"] == ("1 m", 6.0)


def test_the_examples_of_tables_are_read(tmp_path):
    file = tmp_path / "table.csv"
    (table,) = under("files.md", "The swatch table", "text")
    file.write_text(table, encoding="utf-8")
    assert [swatch.layers for swatch in read_swatches(file)][2:] == [
        (("sea blue", 0.5),),
        (("sun yellow", 1.0), ("sea blue", 0.5)),
    ]
    first = under("files.md", "Measured reflectance", "text")[0]
    file.write_text(first + "".join(f"{nm},0.1\n" for nm in range(460, 701, 20)), encoding="utf-8")
    assert read_spectrum(file)[:2] == ((400, 0.052), (420, 0.061))


def test_every_field_of_a_report_is_told(folder, tmp_path):
    result = CliRunner().invoke(main, ["preview", str(folder), "--out", str(tmp_path / "out")])
    assert result.exit_code == 0
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    fields = {*report, *report["plates"][0], *report["regions"][0], *report["findings"][0]}
    told = set(re.findall(r"`(\w+)`", page("files.md")))
    assert {name for name in fields - told if not name.endswith("_says")} <= {"made_by"}


@pytest.mark.parametrize(
    "word", ["spectrum", "sample", "build_up", "ml", "drops", "seed", "grams_per_m2", "pack", "currency", "dyes", "hex"]
)
def test_what_is_looked_for_is_found(word):
    assert f"`{word}`" in page("files.md") or re.search(rf"^{word} = |\b{word} =", page("files.md"), re.M)


# The version


def test_the_version_has_one_home():
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert 'dynamic = ["version"]' in project
    assert 'path = "batiksim/__init__.py"' in project
    assert re.search(rf"^version: {re.escape(batiksim.__version__)}$", page("CITATION.cff"), re.M)
    assert f"({batiksim.__version__}" in page("changelog.md")
    assert CliRunner().invoke(main, ["--version"], prog_name="batiksim").output == f"batiksim {batiksim.__version__}\n"


def test_the_citation_has_what_its_format_needs():
    cited = page("CITATION.cff")
    assert cited.startswith("cff-version: 1.2.0\n")
    assert all(re.search(rf"^{key}:", cited, re.M) for key in ("message", "title", "authors", "license", "type"))


# The site


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The site, built afresh with warnings as errors, as the command of all checks does."""
    folder = tmp_path_factory.mktemp("site")
    command = ["-m", "sphinx", "-q", "-W", "--keep-going", "-E", "-d", folder / "doctrees", "-b", "html", DOCS]
    done = subprocess.run(
        [sys.executable, *command, folder / "html"], env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True,
        text=True, timeout=600,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return folder / "html"


@pytest.mark.full
def test_the_site_builds_without_a_warning_and_has_every_name(site):
    with (site / "objects.inv").open("rb") as file:
        entries = InventoryFile.load(file, "", os.path.join)
    known = {name for kind, items in entries.items() if kind.startswith("py:") for name in items}
    assert {one.whole for one in public.all_names()} <= known
    gallery = (site / "gallery.html").read_text(encoding="utf-8")
    assert len(re.findall(r'class="shown\b', gallery)) == SHOWN


@pytest.mark.full
def test_the_site_loads_nothing_from_outside(site):
    """All that a page loads lies in the site, and so does all that it links to, but for a few sources."""
    for file in site.rglob("*.html"):
        text = file.read_text(encoding="utf-8")
        loads = re.findall(r'<(?:script|img|source|iframe)\b[^>]*\bsrc="([^"]*)"', text)
        loads += re.findall(r'<link\b[^>]*\brel="(?:stylesheet|shortcut icon|prefetch)"[^>]*\bhref="([^"]*)"', text)
        links = [link for link in re.findall(r'<a\b[^>]*\bhref="([^"]*)"', text) if not link.startswith("https:")]
        for link in loads + links:
            named = html.unescape(link).partition("#")[0].partition("?")[0]
            assert not re.match(r"\w+:|//", named), (file.name, link)
            assert (file.parent / named).exists(), (file.name, link)
    assert not re.search(r"url\(['\"]?(https?:)?//", "".join(css.read_text() for css in site.rglob("*.css")))
