"""The JSON Schema of each command's data: real data fits, spoilt data doesn't."""

from __future__ import annotations

import copy
import json
import re
import shutil
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from PIL import Image

import batiksim
from batiksim import jobs
from batiksim.cli import main
from batiksim.files.starter import new_design

ROOT = Path(batiksim.__file__).resolve().parents[1]
SCHEMAS = Path(batiksim.__file__).parent / "data" / "schemas" / "output"
SAMPLES = ROOT / "sample_designs"
sys.path.insert(0, str(ROOT / "tests" / "tools"))
import output_schemas as tool  # noqa: E402

DESIGNS = [SAMPLES / name for name in ("garden_poppies", "hedge_parsley", "estuary_geese")]
STRIP = f"{SAMPLES}/strip/photo.jpg --strip {SAMPLES}/strip/strip.toml"
QUICK = (
    "new another",
    "preview cloth --width 60",
    "preview cloth --width 60 --out out --light A --wet --wax-off",
    "preview cloth cloth nowhere --width 60 --step 1",
    "check cloth --only wasted,depth,mud --language id",
    "check cloth nowhere --only wasted",
    "overdye cloth",
    "overdye mine.toml --light LED --wet --under 0.5",
    "pot moss",
    "pot sun=2,night=3drops --book mine.toml --ml 50 --light A",
    "match #4d7358 --dyes 2 --pots 2",
    "match moss --ground lemon=1 --light A --pots 2",
    "chart ladders mine.toml",
    "chart ladders cloth --pots",
    "chart ladders mine.toml --table swatches.csv",
    "chart spectra cloth --light D50 --strength 0.5",
    "chart spectra cloth --pots",
    "chart colours cloth",
    "calibrate --table swatches.csv --book mine.toml",
    "calibrate --table swatches.csv --book new.toml --dry-run",
    "calibrate --table swatches.csv --book same.toml",
    "orders cloth",
    "workshop cloth bleached nowhere",
    "workshop cloth --makers 12 --measures all --sessions 2x2h --presoak --hard-water --waste 0.3 --prices prices.toml",
)
LONG = (
    *(f"preview {design}" for design in DESIGNS),
    *(f"preview {design} --step 2 --light LED --out out" for design in DESIGNS),
    *(f"check {design}" for design in DESIGNS),
    *(f"check {design} --skip mud --language id" for design in DESIGNS),
    f"overdye {DESIGNS[0]} --pots",
    *(f"overdye {design}" for design in DESIGNS),
    *(f"match #7a3b4c --book {design} --language id" for design in DESIGNS),
    *(f"chart colours {design} --light A" for design in DESIGNS),
    *(f"strip {design}" for design in DESIGNS),
    *(f"orders {design} --tune" for design in DESIGNS),
    *(f"orders {design} --choose 1 --book demo" for design in DESIGNS),
    *(f"workshop {design} --makers 30 --measures us --sessions 90min+1h" for design in DESIGNS),
    *(f"handout {design} --one-page" for design in DESIGNS),
    *(f"trace {design}" for design in DESIGNS),
    *(f"risk {design}" for design in DESIGNS),
    *(f"stages {design}" for design in DESIGNS),
    f"orders {DESIGNS[0]} --masks derive",
    "check wanted bleached",
    "preview bleached wanted",
    "stages dyed",
    "handout dyed",
    "risk dyed",
    "pot sun --book dyed",
    "orders wanted",
    "workshop bleached --room 35 --sessions 5x3h",
    "strip demo --no-card",
    "strip mine.toml --cloth #ffffff",
    "trace huge",
    f"calibrate {STRIP} --book strip.toml",
    "overdye strip.toml",  # whose dyes say by now which cloth they were seen on
    "compare cloth photo.png --out out",
    "compare dyed dyed.png --out out",
    "from-picture sketch.png --out out --steps 1 --pots 1",
    "from-picture sketch.png --out out --steps 3 --pots 2 --book mine.toml",
    "from-picture photo.png --out out --steps 2 --where sun>night --book mine.toml --width 300",
    "match moss --pots 20 --light LED",
    "pot lemon=1,navy=1 --strength 2",
)
BOOK = 'format = 1\ntitle = "Mine"\n'
SWATCHES = "dyes,hex\nundyed,#f4efe2\nsea 1,#3d9fb4\nsea 0.5,#7cbcc9\nsea 0.25,#abd2d8\nsea 1 + sea 1,#0f6f84\n"
PRICES = 'format = 1\ncurrency = "EUR"\n[[price]]\nname = "urea"\npack = "500 g"\nprice = 4.5\n'


@pytest.fixture(scope="module")
def made(tmp_path_factory, build):
    """A desk with designs of every kind, pictures, a book, swatches and prices."""
    desk = tmp_path_factory.mktemp("desk")
    new_design(desk / "cloth")
    jobs.save_preview(desk / "cloth", desk / "seen", width_px=300)
    shutil.move(desk / "seen" / "cloth.png", desk / "photo.png")
    sketch = np.full((60, 80, 3), 240, np.uint8)
    sketch[20:40, 20:60], sketch[5:15, 5:15] = (30, 60, 120), (220, 190, 40)
    Image.fromarray(sketch).save(desk / "sketch.png")
    (desk / "swatches.csv").write_text(SWATCHES, encoding="utf-8")
    dyes = "".join(f'[[dye]]\nname = "{n}"\ncolour = "{c}"\n' for n, c in (("sun", "#f0d92e"), ("night", "#1d2030")))
    (desk / "mine.toml").write_text(BOOK + dyes, encoding="utf-8")
    same = '[[dye]]\nname = "sea"\ncolour = "#3d9fb4"\n'
    (desk / "same.toml").write_text(BOOK + same, encoding="utf-8")
    (desk / "prices.toml").write_text(PRICES, encoding="utf-8")
    from tests.conftest import write_on_disk

    steps = (build.dye("sun"), build.wax("m", tool="canting"), build.bleach("b"), build.dye("night"))
    write_on_disk(build.design(*steps), build.soft(2), desk / "bleached")
    steps = (build.dye("sun"), build.wax("keep"), build.dye(("pink", "petals"), "sea"))
    wants = (batiksim.Want(colour="#6ca948", at_mm=(20, 20)), batiksim.Want(colour="deep red", where="petals.png"))
    write_on_disk(build.design(*steps, wants=wants), build.soft(2), desk / "wanted")
    plain = build.design(build.wax("keep"), build.dye("pink"))
    write_on_disk(plain, build.soft(1, 90, 120), desk / "dyed")
    jobs.save_preview(desk / "dyed", desk / "seen")
    shutil.move(desk / "seen" / "cloth.png", desk / "dyed.png")
    shutil.rmtree(desk / "seen")
    write_on_disk(replace(plain, cloth=batiksim.Cloth(width_mm=15_000)), build.soft(1), desk / "huge")
    return desk


@pytest.fixture
def desk(made, tmp_path, monkeypatch):
    shutil.copytree(made, tmp_path / "desk")
    monkeypatch.chdir(tmp_path / "desk")
    return tmp_path / "desk"


def told(line):
    """What a command prints as data."""
    done = CliRunner(catch_exceptions=False).invoke(main, [*line.split(), "--json"], prog_name="batiksim")
    assert done.exit_code == 0 or "nowhere" in line, done.stderr
    return json.loads(done.stdout)


@cache
def schema(command):
    return json.loads((SCHEMAS / f"{command}.json").read_text(encoding="utf-8"))


@cache
def validator(command):
    return Draft202012Validator(schema(command))


def parts(one, path=()):
    """Every schema in a schema, with the way there."""
    yield path, one
    for key, inner in one.items() if isinstance(one, dict) else enumerate(one):
        if isinstance(inner, dict | list):
            yield from parts(inner, (*path, key))


# The schemas themselves


def test_there_is_one_for_each_command_with_data():
    with_data = {name for name, one in main.commands.items() if any(param.name == "as_json" for param in one.params)}
    assert {path.stem for path in SCHEMAS.iterdir()} == with_data == set(tool.OUTPUTS)


@pytest.mark.parametrize("command", tool.OUTPUTS)
def test_they_are_up_to_date(command):
    text = (SCHEMAS / f"{command}.json").read_text(encoding="utf-8")
    assert text == tool.schema_text(command), "run python tests/tools/output_schemas.py"


@pytest.mark.parametrize("command", tool.OUTPUTS)
def test_they_are_strict_and_say_what_each_field_is(command):
    Draft202012Validator.check_schema(schema(command))
    for path, one in parts(schema(command)):
        if isinstance(one, dict) and one.get("type") == "object":
            assert "additionalProperties" in one, path
        if path and path[-1] == "properties" and path[-2:-1] != ("properties",):
            for name, field in one.items():
                assert name.endswith("_says") or field.get("description") or field.get("$ref"), (path, name)


UNITS = {"mm": "mm", "mm2": "mm2", "ml": "ml", "g": "g", "min": "min", "c": "°C", "litre": "g/l", "m2": "g/m2"}


@pytest.mark.parametrize("command", tool.OUTPUTS)
def test_numbers_with_a_unit_in_their_name_say_it(command):
    for path, one in parts(schema(command)):
        name = str(path[-1]) if len(path) > 1 and path[-2] == "properties" else ""
        unit = UNITS.get(name.rpartition("_")[2])
        if unit and one.get("type") in ("number", "integer"):
            assert re.search(rf"\b{re.escape(unit)}|{re.escape(unit)}\.", one["description"]), path


def test_what_is_shared_is_the_same_everywhere():
    seen = {}
    for command in tool.OUTPUTS:
        for name, one in schema(command)["$defs"].items():
            if name != "one":
                assert seen.setdefault(name, one) == one, name
    assert {"message", "origin", "region", "finding", "place", "remedy"} <= set(seen)
    assert {"$ref": "#/$defs/finding"} in [one for _, one in parts(schema("preview"))]
    assert {"$ref": "#/$defs/finding"} in [one for _, one in parts(schema("check"))]


# Real data


def wrong(line, data):
    """Where some data doesn't fit, and why."""
    found = validator(line.split()[0]).iter_errors(data)
    return [(line, list(error.absolute_path), error.message[:300]) for error in found]


@pytest.mark.parametrize("line", QUICK)
def test_real_data_fits(line, desk):
    assert wrong(line, told(line)) == []


@pytest.mark.full
def test_all_real_data_fits_and_meets_every_field(desk):
    """Over all samples and many options; and no schema has a field that no data has."""
    met, faults = {}, []
    for line in (*QUICK, *LONG):
        for folder in ("out", "another", "strip", "tracing"):
            shutil.rmtree(desk / folder, ignore_errors=True)
        data = told(line)
        faults += wrong(line, data)
        met.setdefault(line.split()[0], set()).update(keys(data))
    assert faults == []
    anywhere, unmet = set().union(*met.values()), set()
    for command in tool.OUTPUTS:
        for path, one in parts(schema(command)):
            if path[-1:] == ("properties",):
                shared = path[0] == "$defs" and path[1] != "one"
                unmet |= {(command, name) for name in {*one} - (anywhere if shared else met[command])}
    assert {(command, name) for command, name in unmet if name not in NEVER_MET} == set()


NEVER_MET = {"problems_says", "warnings_says", "impossible_says", "part_says"}  # of what is seldom wrong


def keys(data):
    """All names of fields in some data."""
    if isinstance(data, dict):
        yield from data
    for inner in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from keys(inner)


# Spoilt data

OPEN = {"values", "numbers", "loads", "parts", "drops", "dyes", "words", "changes"}  # where names are not ours
SPOILT = {
    "new": "new another",
    "preview": "preview cloth --width 60",
    "check": "check bleached",
    "overdye": "overdye mine.toml",
    "pot": "pot sun=2,night=3drops --book mine.toml --ml 50",
    "match": "match moss --dyes 2 --pots 2",
    "ladders": "chart ladders mine.toml --table swatches.csv",
    "spectra": "chart spectra mine.toml",
    "colours": "chart colours cloth",
    "calibrate": "calibrate --table swatches.csv --book mine.toml",
    "orders": "orders wanted",
    "workshop": "workshop cloth --measures us --presoak",
    "several": "check bleached nowhere",
}


def places(data, path=()):
    """One way to every kind of place in some data, places of a list being of one kind."""
    found = {tuple("*" if isinstance(step, int) else step for step in path): path}
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, one in inner:
        for shape, way in places(one, (*path, key)).items():
            found.setdefault(shape, way)
    return found


def at(data, path):
    for step in path:
        data = data[step]
    return data


@pytest.mark.parametrize("name", SPOILT)
def test_spoilt_data_does_not_fit(name, desk):
    """With one field more or less, or of another type, anywhere, data is refused."""
    line = SPOILT[name]
    command, data = line.split()[0], told(line)
    valid = validator(command).is_valid
    assert valid(data)
    for shape, path in places(data).items():
        spoilt = copy.deepcopy(data)
        if not path or shape[-1] in OPEN or {"values", "changes"} & {*shape}:
            continue
        held = at(spoilt, path)
        if isinstance(held, dict):
            held["surprise"] = 1
            assert not valid(spoilt), (shape, "one more")
            del held["surprise"]
            for key in list(held):
                kept = held.pop(key)
                assert key.endswith("_says") or key == "us" or not valid(spoilt), (shape, key, "one less")
                held[key] = kept
        at(spoilt, path[:-1])[path[-1]] = {"surprise": 1}
        assert not valid(spoilt), (shape, "another type")


def test_data_that_begins_wrongly_does_not_fit(desk):
    data = told("check bleached")
    for change in ({"format": 2}, {"version": 1}, {"design": "bleached"}, {"source": data["design"]}):
        assert not validator("check").is_valid(data | change)
    assert not validator("pot").is_valid(told("pot moss") | {"light": "sun"})
    book = told("pot moss")
    assert not validator("pot").is_valid(book | {"design": book["source"]})
    assert not validator("pot").is_valid({key: value for key, value in book.items() if key != "source"})
