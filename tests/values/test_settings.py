"""Settings are declared once: reader, writer, schema, reference page, requests and data follow from the declaration."""

from __future__ import annotations

import datetime
import json
import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path

import jsonschema
import pytest

from batiksim.changes.request_fields import RequestFields
from batiksim.changes.steps import set_wax
from batiksim.errors import BatikError
from batiksim.values import Cloth, Design, MaskUse, Wax
from batiksim.values.plain_data import plain_data
from batiksim.values.rules import number
from batiksim.values.settings import read, schema_of
from tests.files.test_designs import SAMPLE, SLIPS
from tests.tools import settings_pages

ROOT = Path(__file__).resolve().parents[2]
DESIGNS = sorted([*ROOT.glob("sample_designs/**/*.toml"), ROOT / "batiksim/data/starter/design.toml"])
DESIGNS = [path for path in DESIGNS if "width_mm" in path.read_text(encoding="utf-8")]


@dataclass(frozen=True, kw_only=True)
class Soaked(Wax):
    """A waxing of a cloth that was soaked: one more setting, by one declaration."""

    soaked_h: float = field(default=0.0, metadata=number("How long it was soaked.", 2, 0, 48, "h"))


SOAKED = Soaked(mask=MaskUse(picture="a.png"), soaked_h=3)


def test_one_declaration_is_read_checked_and_written():
    assert read(Soaked, {"wax": "a.png", "soaked_h": 3}) == SOAKED
    assert SOAKED.written() == {"wax": "a.png", "soaked_h": 3.0}
    assert read(Soaked, {"wax": "a.png"}).soaked_h == 0
    for wrong, told in (
        (49, "soaked_h: out of range (found 49); use a number from 0 to 48"),
        ("long", "soaked_h: needs a number (found 'long'); write soaked_h = 2, without quotes"),
    ):
        with pytest.raises(BatikError) as error:
            read(Soaked, {"wax": "a.png", "soaked_h": wrong})
        assert str(error.value) == told
    with pytest.raises(BatikError, match=r"'soaked' isn't a setting of a waxing; did you mean 'soaked_h'"):
        read(Soaked, {"wax": "a.png", "soaked": 3})
    with pytest.raises(BatikError, match="soaked_h: out of range"):
        replace(SOAKED, soaked_h=-1)


def test_one_declaration_is_in_schema_and_reference_page():
    told = schema_of(Soaked)["properties"]["soaked_h"]
    assert told == {
        "type": "number",
        "minimum": 0,
        "maximum": 48,
        "description": "How long it was soaked. Unit: h.",
        "examples": [2],
        "default": 0.0,
    }
    assert "| `soaked_h` | How long it was soaked. | number from 0 to 48 h | `0` | `2` |" in "\n".join(
        settings_pages.table_lines(Soaked)
    )


def test_one_declaration_is_in_requests_and_data():
    assert plain_data(SOAKED)["soaked_h"] == 3
    design = Design(title="t", cloth=Cloth(width_mm=300), steps=(SOAKED,))
    changed = set_wax(design, RequestFields({"step": 1, "soaked_h": 5}))
    assert changed.steps[0] == replace(SOAKED, soaked_h=5)
    with pytest.raises(BatikError, match="soaked_h: out of range"):
        set_wax(design, RequestFields({"step": 1, "soaked_h": 50}))


def test_what_is_made_from_the_declarations_is_up_to_date():
    again = "python tests/tools/settings_pages.py"
    for name, kind in settings_pages.SCHEMAS.items():
        shipped = (settings_pages.PACKAGE / "data" / "schemas" / name).read_text(encoding="utf-8")
        assert shipped == settings_pages.schema_text(kind), again
    page = (settings_pages.PACKAGE / "docs" / "settings.md").read_text(encoding="utf-8")
    assert page == settings_pages.page_text(), again


# The schemas, by a library that knows the standard: JSON Schema, draft 2020-12


def as_json(entries):
    """TOML as JSON has it: a date is a text there."""
    return json.loads(json.dumps(entries, default=datetime.date.isoformat))


def validator(name: str) -> jsonschema.Draft202012Validator:
    schema = json.loads((settings_pages.PACKAGE / "data" / "schemas" / name).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_sample_is_valid(path):
    validator("design.schema.json").validate(as_json(tomllib.loads(path.read_text(encoding="utf-8"))))


def test_the_demo_book_is_valid():
    book = (ROOT / "batiksim/data/demo_book.toml").read_text(encoding="utf-8")
    validator("dye-book.schema.json").validate(as_json(tomllib.loads(book)))


def test_the_sample_of_the_reader_is_valid():
    validator("design.schema.json").validate(tomllib.loads(SAMPLE))


def seen_by_no_schema(got: str | None) -> bool:
    """Names that the rest of the file or a folder has to know, and a number that JSON lacks."""
    files, names = (".png", ".csv", "measured"), ("sun yelow", "see blue", "sea blue", "nan")
    return got is not None and (got in names or any(part in got.lower() for part in files))


@pytest.mark.parametrize(
    ("old", "new", "place", "got", "fix"), [slip for slip in SLIPS if not seen_by_no_schema(slip[3])]
)
def test_the_schema_refuses_what_the_reader_refuses(old, new, place, got, fix):
    entries = tomllib.loads(SAMPLE.replace(old, new, 1))
    assert not validator("design.schema.json").is_valid(as_json(entries)), (place, got, fix)
