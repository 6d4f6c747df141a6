"""CIEDE2000, and its weights for small steps near a colour.

Source: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula: Implementation Notes, Supplementary Test
Data, and Mathematical Observations", Color Research & Application 30 (2005) 21-30. Symbols and equation numbers are
the paper's; k_L = k_C = k_H = 1. Hues are in radians here, the paper's are in degrees.
"""

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import Floats, as_triples

_TURN = 2 * np.pi


def delta_e_2000(lab1: ArrayLike, lab2: ArrayLike) -> Floats:
    """CIEDE2000 difference of CIELAB colours.

    Parameters
    ----------
    lab1, lab2 : array_like, (..., 3)
        CIELAB, D65; L* 0..100. Leading axes broadcast.

    Returns
    -------
    numpy.ndarray, (...)
        The differences, 0 or more. About 1 is just seen side by side.

    Raises
    ------
    TypeError, ValueError
        If an argument isn't numbers, or its last axis isn't 3.

    Notes
    -----
    Sharma, Wu and Dalal, Color Research & Application 30 (2005) 21-30, with k_L = k_C = k_H = 1.

    Examples
    --------
    The first pair of the paper's test data:

    >>> round(float(batiksim.colour.delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    L_1, a_1, b_1 = np.moveaxis(as_triples(lab1, "lab1"), -1, 0)
    L_2, a_2, b_2 = np.moveaxis(as_triples(lab2, "lab2"), -1, 0)
    mean_C_ab = (np.hypot(a_1, b_1) + np.hypot(a_2, b_2)) / 2  # (2), (3)
    G = 0.5 * (1 - _root_c7(mean_C_ab))  # (4)
    a_1, a_2 = (1 + G) * a_1, (1 + G) * a_2  # (5): a' from here on
    C_1, C_2 = np.hypot(a_1, b_1), np.hypot(a_2, b_2)  # (6)
    h_1, h_2 = np.arctan2(b_1, a_1), np.arctan2(b_2, a_2)  # (7)

    delta_L = L_2 - L_1  # (8)
    delta_C = C_2 - C_1  # (9)
    delta_h = np.where(C_1 * C_2 == 0, 0.0, (h_2 - h_1 + np.pi) % _TURN - np.pi)  # (10)
    delta_H = 2 * np.sqrt(C_1 * C_2) * np.sin(delta_h / 2)  # (11)

    mean_L = (L_1 + L_2) / 2  # (12)
    mean_C = (C_1 + C_2) / 2  # (13)
    mean_h = np.where(C_1 == 0, h_2, np.where(C_2 == 0, h_1, h_1 + delta_h / 2)) % _TURN  # (14)
    T = (  # (15)
        1
        - 0.17 * np.cos(mean_h - np.radians(30))
        + 0.24 * np.cos(2 * mean_h)
        + 0.32 * np.cos(3 * mean_h + np.radians(6))
        - 0.20 * np.cos(4 * mean_h - np.radians(63))
    )
    delta_theta = np.radians(30) * np.exp(-(((np.degrees(mean_h) - 275) / 25) ** 2))  # (16)
    R_C = 2 * _root_c7(mean_C)  # (17)
    S_L, S_C, S_H = _S_L(mean_L), _S_C(mean_C), _S_H(mean_C, T)
    R_T = -np.sin(2 * delta_theta) * R_C  # (21)
    light, chroma, hue = delta_L / S_L, delta_C / S_C, delta_H / S_H
    squared = light**2 + chroma**2 + hue**2 + R_T * chroma * hue
    return np.asarray(np.sqrt(np.maximum(squared, 0.0)))  # (22)


def ciede2000_weights(lab: ArrayLike) -> Floats:
    """What turns small CIELAB steps at colours (..., 3) into about CIEDE2000: (..., 3, 3), weights @ step.

    Rows are lightness, chroma and hue, each by its own weight. What CIEDE2000 adds for near-greys (G) and for blues
    (R_T) is left out, and T is taken as 1. CIELAB itself: `spaces.lab_jacobian`.
    """
    L, a, b = np.moveaxis(as_triples(lab, "lab"), -1, 0)
    C, h = np.hypot(a, b), np.arctan2(b, a)
    S_C, S_H = _S_C(C), _S_H(C, 1.0)
    weights = np.zeros((*L.shape, 3, 3))
    weights[..., 0, 0] = 1 / _S_L(L)
    weights[..., 1, 1], weights[..., 1, 2] = np.cos(h) / S_C, np.sin(h) / S_C
    weights[..., 2, 1], weights[..., 2, 2] = -np.sin(h) / S_H, np.cos(h) / S_H
    return weights


def _root_c7(C: Floats) -> Floats:
    """sqrt(C^7 / (C^7 + 25^7)), in (4) and (17)."""
    power = (C / 25.0) ** 7
    return np.asarray(np.sqrt(power / (power + 1.0)))


def _S_L(L: Floats) -> Floats:
    """Equation (18)."""
    return np.asarray(1 + 0.015 * (L - 50) ** 2 / np.sqrt(20 + (L - 50) ** 2))


def _S_C(C: Floats) -> Floats:
    """Equation (19)."""
    return 1 + 0.045 * C


def _S_H(C: Floats, T: Floats | float) -> Floats:
    """Equation (20)."""
    return np.asarray(1 + 0.015 * C * T)
