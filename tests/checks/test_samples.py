"""The samples as the checks see them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.checks.findings import GEESE, PARSLEY, POPPIES


@pytest.mark.parametrize("folder", [PARSLEY, POPPIES, GEESE])
def test_the_samples_are_within_hand_fibre_and_cloth(sample, folder):
    assert sample(folder).check("hand", "depth", "reach") == ()


@pytest.mark.full
def test_every_ring_lies_on_its_cloth(sample):
    """Whatever is found is ringed within the cloth, at a size that shows it."""
    for folder in (PARSLEY, POPPIES, GEESE):
        case = sample(folder)
        small = case.with_design(cloth=replace(case.design.cloth, width_mm=90))
        high = 90 * case.masks.shape[1] / case.masks.shape[2]
        for one in small.check("hand", "depth", "leak", "neighbours"):
            if one.place is not None:
                assert 0 <= one.place.x_mm <= 90
                assert 0 <= one.place.y_mm <= high
                assert np.isfinite(one.place.radius_mm)
