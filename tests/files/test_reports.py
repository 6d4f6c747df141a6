"""Values as plain data, and which plates an earlier preview says it made."""

from __future__ import annotations

import json

import pytest

from batiksim.files.reports import made_before, report_text, table_text
from batiksim.texts.catalogue import say
from batiksim.values import MADE_BY, Finding, Region
from batiksim.values.plain_data import plain_data

REGION = Region(
    share=1 / 3,
    history=("sun", "wax"),
    loads={"sun": 2 / 3},
    hex="#aa2200",
    lab=(1.23456, -2.0, 3.9996),
    name="dark red",
    plain="red",
)


def test_figures_of_a_region_are_rounded():
    assert plain_data(REGION) == {
        "share": 0.333333, "history": ["sun", "wax"], "loads": {"sun": 0.6667}, "hex": "#aa2200",
        "lab": [1.235, -2.0, 4.0], "name": "dark red", "plain": "red",
        "shown": "dark red", "shown_says": {"key": "colour.name.dark_red", "values": {}},
        "shown_history": ["sun", "wax"],
    }  # fmt: skip


def test_a_finding_with_and_without_a_place():
    plain = Finding(
        code="mud", severity="warn", message=say("checks.cm", cm=1.5), remedy=say("checks.wasted.leave_out")
    )
    told = {
        "code": "mud", "severity": "warn", "step": 0, "place": None,
        "pots": [], "masks": [], "numbers": {}, "remedies": [],
        "message": "1.5 cm", "message_says": {"key": "checks.cm", "values": {"cm": 1.5}},
        "remedy": "Leave this step out.", "remedy_says": {"key": "checks.wasted.leave_out", "values": {}},
    }  # fmt: skip
    assert plain_data(plain) == told


def test_a_report_reads_as_it_was_and_carries_a_mark_where_it_should():
    text = report_text({"title": "Müd"})
    assert text.endswith("}\n")
    assert "Müd" in text
    assert json.loads(text) == {"title": "Müd"}
    marked = json.loads(report_text({"title": "Müd"}, marked=True))
    assert MADE_BY in marked.values()
    assert marked["title"] == "Müd"


def test_a_table_as_csv():
    assert table_text([("a", "b"), ("1,5", 'x"y')]) == 'a,b\n"1,5","x""y"\n'


@pytest.mark.parametrize(
    "text", [None, "", "[]", "{}", "nonsense", '{"plates": 3}', '{"plates": [{}]}', '{"plates": ["a"]}']
)
def test_no_report_names_no_plates(tmp_path, text):
    if text is not None:
        (tmp_path / "report.json").write_text(text)
    assert made_before(tmp_path) == ()


def test_only_marked_plates_of_a_plates_name_were_made_before(tmp_path):
    names = ["plate-00.png", "plate-123.png", "plate-1.png", "../plate-02.png", "plate-03.png", 4, "xplate-05.png"]
    (tmp_path / "report.json").write_text(json.dumps({"plates": [{"file": name} for name in names]}))
    for name in names:
        if isinstance(name, str) and "/" not in name:
            (tmp_path / name).write_text("another's" if name == "plate-03.png" else f"png {MADE_BY}")
    assert made_before(tmp_path) == ("plate-00.png", "plate-123.png")
