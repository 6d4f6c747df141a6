"""Cloths planned from flat pictures by other hands, against a plain nearest-colour split without the physics."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.picture_plan.design import planned_design, pot_names
from batiksim.picture_plan.plan import FromPictureOptions, plan_picture
from batiksim.picture_plan.report import picture_report
from tests.outside.fetching import OutOfReachError
from tests.outside.flat_pictures import flat_pictures
from tests.outside.plain_split import plain_split
from tests.picture_plan.known_cloths import BOOK, CLOTH, DYES, finished, known_design, mean_difference

pytestmark = pytest.mark.full  # what it reads is fetched

STEPS = 4


@pytest.fixture(scope="module")
def pictures():
    try:
        return flat_pictures()
    except OutOfReachError as why:
        pytest.skip(f"the flat pictures are fetched when tested: {why}")


def dyed_like(picture, *, pots):
    plan = plan_picture(picture, DYES, FromPictureOptions(steps=STEPS, pots=pots, line_mm=1.0))
    names = pot_names(plan, list(DYES.dyes))
    report = picture_report(plan, DYES, names)
    made = planned_design(plan, report, title="flat", cloth=CLOTH, dyes=BOOK.dyes, names=names)
    by = plan.wax.shape[1] // picture.shape[0]
    return finished(made.design, {name: mask[::by, ::by] for name, mask in made.masks.items()})


def differences(pictures):
    """Mean CIEDE2000 of each picture: (plain split, planned with one pot a dyeing, with two)."""
    found = {}
    for name, picture in pictures.items():
        plan, wax = plain_split(picture, DYES, STEPS)
        plain = finished(known_design(plan), {f"wax-{at}.png": mask for at, mask in enumerate(wax)})
        planned = [mean_difference(picture, dyed_like(picture, pots=pots)) for pots in (1, 2)]
        found[name] = (mean_difference(picture, plain), *planned)
    return found


def test_a_planned_cloth_beats_a_plain_split(pictures):
    found = differences(pictures)
    plain, one, two = np.array(list(found.values())).T
    told = {name: [round(value, 1) for value in values] for name, values in found.items()}
    assert (one < plain).all(), told
    assert one.mean() < 0.7 * plain.mean(), told
    assert two.mean() < one.mean() + 0.5, told  # lines of wax between pots cost a little
