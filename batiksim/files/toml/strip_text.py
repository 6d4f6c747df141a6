"""Strip files written: what `read_strip` reads, with the words a maker needs beside it."""

from __future__ import annotations

import json
from collections.abc import Sequence

from batiksim.values import FORMAT, MADE_BY, Layers

__all__ = ["strip_text"]


def strip_text(
    title: str,
    cells: Sequence[Layers],
    *,
    columns: int,
    gap: float,
    cloth: str,
    cloth_assumed: bool,
    card: tuple[float, Sequence[float]] | None,
) -> str:
    """A strip file whose patches lie in rows, bare cloth between them; the photo's corners are left to fill in.

    cells : (dye, strength) of each in reading order, () for bare cloth
    cloth_assumed : whether the cloth's colour is only what cotton commonly is
    card : its reflectance, and left, top, width, height in the photo as shares; None without one
    """
    lines = [f"# {MADE_BY}. A strip made again in this folder takes its place: give it another name if you changed it."]
    lines += [f"format = {FORMAT}", f"title = {_quoted(title)}", "", "[cloth]"]
    lines += [f"colour = {_quoted(cloth)}  # undyed, by daylight: write your own cloth's colour if you know it"]
    lines += ["assumed = true  # take this line out when you have written it", ""] if cloth_assumed else [""]
    lines += ["# The strip's corners in your photo, in pixels: top left, top right, bottom right, bottom left."]
    lines += ["# Fill them in here and take the # away, or give them to calibrate with --corners."]
    lines += ["# [photo]", "# corners = [[412, 305], [3620, 380], [3580, 1490], [395, 1420]]"]
    lines += ['# Taken under a filament lamp and not by day? Then write light = "A" below corners.', "", "[strip]"]
    lines += [f"rows = {len(cells) // columns}", f"columns = {columns}", f"gap = {gap:g}", 'ground = "undyed"', ""]
    if card is not None:
        reflectance, place = card
        at = ", ".join(f"{share:.6g}" for share in place)
        lines += ["[[card]]  # no card in the photo? Take these three lines out.", f"reflectance = {reflectance:g}"]
        lines += [f"at = [{at}]", ""]
    for cell in cells:
        lines += ["[[patch]]", *_patch(cell), ""]
    return "\n".join(lines).rstrip() + "\n"


def _patch(layers: Layers) -> list[str]:
    if not layers:
        return ["undyed = true"]
    if len(layers) == 1:
        ((dye, strength),) = layers
        return [f"dye = {_quoted(dye)}", *([] if strength == 1 else [f"strength = {strength:g}"])]
    inside = ", ".join(f"{_quoted(dye)} = {strength:g}" for dye, strength in layers)
    return [f"dyes = {{ {inside} }}  # one over the other"]


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)  # TOML's basic strings escape as JSON's do
