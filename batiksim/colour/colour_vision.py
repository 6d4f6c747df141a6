"""Colours as eyes with a colour-vision deficiency see them.

Model and matrices: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation of
Color Vision Deficiency", IEEE TVCG 15 (2009): severity 1.0, for linear sRGB. About one man in twelve and one woman in
two hundred tell red and green poorly (common figure, from memory).
"""

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.spaces import lab_to_xyz, linear_srgb_to_xyz, xyz_to_lab, xyz_to_linear_srgb
from batiksim.types import Floats

MATRICES: dict[str, Floats] = {
    "protanopia": np.array([
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ]),
    "deuteranopia": np.array([
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ]),
    "tritanopia": np.array([
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ]),
}  # fmt: skip
COMMON = ("deuteranopia", "protanopia")


def seen_with(lab: ArrayLike, vision: str) -> Floats:
    """CIELAB (..., 3) of a colour as it looks with a deficiency (a key of `MATRICES`), clipped to sRGB."""
    linear = np.clip(xyz_to_linear_srgb(lab_to_xyz(lab)), 0.0, 1.0)
    return xyz_to_lab(linear_srgb_to_xyz(np.clip(linear @ MATRICES[vision].T, 0.0, 1.0)))
