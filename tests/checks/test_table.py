"""The table of checks: what is run, in what order it is told, and which codes are known."""

from __future__ import annotations

from dataclasses import asdict

import pytest

from batiksim import checks
from batiksim.checks import CHECKS
from batiksim.errors import BatikError
from batiksim.values import RemoveWax


@pytest.fixture
def case(draw):
    """Mud (serious), a step that does nothing (warn) and a pot too strong (warn)."""
    return draw.case(("dye", "coral", None), ("dye", "sea", None), RemoveWax())


def test_the_worst_comes_first_then_the_earliest_step(case):
    found = case.check("mud", "wasted")
    assert [(one.code, one.severity) for one in found] == [("mud", "serious"), ("wasted", "warn")]
    twice = case.with_steps(RemoveWax(), *case.design.steps).check("wasted")
    assert [one.step for one in twice] == [1, 4]


def test_sentences_begin_with_a_capital(case):
    assert all(text[0].isupper() for one in case.check() for text in (str(one.message), str(one.remedy)))
    assert str(case.check("mud")[0].message).startswith("Sea over coral")


def test_only_and_skip(case):
    run = lambda **keys: {one.code for one in checks.check(case.scene, **keys)}  # noqa: E731
    assert run() >= {"mud", "wasted"}
    assert run(only=["mud"]) == {"mud"}
    assert "mud" not in run(skip=["mud"])
    assert run(only=["mud", "wasted"], skip=["mud"]) == {"wasted"}
    left_out = case.with_design(skip_checks=("mud",))
    assert "mud" not in {one.code for one in left_out.check()}
    assert {one.code for one in left_out.check("mud")} == {"mud"}  # asked for, it is run


def test_a_preview_leaves_out_what_takes_long():
    assert {row.code for row in checks.CHECKS if not row.quick} == {"hand", "fit"}
    assert str(checks.QUICK_NOTHING).startswith(str(checks.NOTHING))
    for row in checks.CHECKS:
        assert (str(row.what) in str(checks.QUICK_NOTHING)) is not row.quick


def test_quick_runs_only_the_quick(draw):
    fine = draw.blank()
    for y in range(10, 70, 6):
        fine[5 * y : 5 * y + 2, 50:550] = 255
    case = draw.case(("wax", fine, {"tool": "canting"}), ("dye", "sea", None))
    assert {one.code for one in case.check()} == {"hand", "reach"}
    assert {one.code for one in case.check(quick=True)} == {"reach"}


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"only": ["mudd"]}, "only: 'mudd' isn't a check; did you mean 'mud'"),
        ({"skip": ["mudd"]}, "skip: 'mudd' isn't a check"),
    ],
)
def test_what_is_not_known_is_told(case, keys, said):
    with pytest.raises(BatikError, match=said):
        checks.check(case.scene, **keys)


def test_the_designs_own_skips_are_looked_at(case):
    with pytest.raises(BatikError, match="checks: skip: 'mudd' isn't a check"):
        case.with_design(skip_checks=("mudd",)).check()


def test_known_codes_come_back():
    assert checks.known_codes(["mud", "fit"], field="x") == ("mud", "fit")
    assert len(set(checks.CODES)) == len(checks.CHECKS) == 13


# Every threshold as it was decided, in its unit: a change here is a change of what makers are told
THRESHOLDS = {
    "leak": {
        "gap_mm": 4.0,
        "closes_mm": 0.4,
        "margins_mm": (0.0, 1.0, 2.0),
        "reach_mm": 6.0,
        "least_mm2": 8.0,
        "wider": 1.35,
        "seen": 3.0,
        "spoils": 8.0,
        "least_px_per_mm": 1.5,
        "most": 12,
        "looked_at": 60,
        "free_mm": 100.0,
        "free_share": 0.15,
    },
    "neighbours": {"creep_mm": 0.8, "cell_mm": 10.0, "least_mm": 5.0, "dense": 0.7, "alike": 4.0, "long_mm": 40.0},
    "mud": {"least_share": 0.003, "warn_share": 0.01, "serious_share": 0.1, "cured": 0.2, "tried": 6},
    "faint": {"pale": 4.0, "alike": 4.0, "clear": 10.0, "least_border_mm": 60.0, "least_share": 0.005},
    "order": {"hidden": 4.0, "shows": 8.0, "most": 0.6, "tried": 8},
    "hand": {
        "canting_mm": 0.5,
        "brush_mm": 1.6,
        "stamp_mm": 1.0,
        "canting_share": 0.05,
        "brush_share": 0.3,
        "stamp_share": 0.1,
        "closes_mm": 0.4,
        "closes_cm": 25.0,
        "island_mm": 1.6,
        "island_mm2": 2.0,
        "islands": 8,
        "around_mm": 3.0,
        "line_mm": 5.0,
    },
    "fit": {
        "least_mm": 1.0,
        "most_mm": 15.0,
        "turns_deg": (-3.5, -3.0, -2.5, -2.0, -1.5, -1.0, -0.5, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5),
        "alike": 0.08,
        "clear": 4.3,
        "faint": 0.045,
        "plain": 6.2,
        "seconded": 5.0,
        "hint": 3.5,
        "better": 1.3,
        "serious_mm": 2.0,
    },
    "wasted": {"empty": 0.0005, "full": 0.99, "full_canting": 0.65, "nothing_new": 0.03, "nothing_open": 0.0005},
    "depth": {"least_share": 0.005, "lost": 0.25, "much": 0.5, "most_strength": 2.5},
    "lost": {
        "line_mm": 4.0,
        "length_mm": 10.0,
        "total_mm": 60.0,
        "paler": 12.0,
        "gone": 12.0,
        "serious_mm": 600.0,
        "colours": {"most": 0.85, "least_share": 0.003, "serious_share": 0.1, "gone": 10.0},
    },
    "reach": {"seen": 0.5, "far": 5.0},
    "cloth": {"floors": 0.005, "colours": 3.0},
    "lamp": {"most": 5},
}


@pytest.mark.parametrize("row", checks.CHECKS, ids=lambda row: row.code)
def test_thresholds_are_those_decided(row):
    assert asdict(row.settings) == THRESHOLDS[row.code]


@pytest.mark.full
@pytest.mark.parametrize("folder", ["garden_poppies", "estuary_geese"])
def test_a_preview_tells_what_the_checks_tell(sample, folder):
    """All but those that take longer, in the same words."""
    case = sample(folder)
    later = [row.code for row in CHECKS if not row.quick]
    assert later == ["hand", "fit"]
    assert case.check(quick=True) == case.check(skip=later) != ()
