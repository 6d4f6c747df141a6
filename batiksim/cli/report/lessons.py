"""What `calibrate` and `compare` print: each patch and dye, each region planned beside dyed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from batiksim.cli.report.tables import cloth_piece, plain_table
from batiksim.texts.phrases import percent

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.jobs import Calibrated, CalibratedDye, Calibration, Compared, MeasuredPiece

# CIEDE2000 in words; common practice, no source.
_TRUST = ((1.0, "very sure"), (2.0, "sure"), (4.0, "fair"), (float("inf"), "a rough guide only"))


def trust(error: float | None) -> str:
    """How far to trust a prediction with such an error."""
    if error is None:
        return "not known"
    return next(word for limit, word in _TRUST if error <= limit)


def print_calibration(console: Console, result: Calibrated) -> None:
    """Predicted against measured for every patch, then each dye and what became of it."""
    found = result.calibration
    for note in result.notes:
        console.print(str(note), markup=False)
    console.print()
    numbers = ("Before", "After", "Unseen")
    table = plain_table("Measured", "", "Predicted", "", "Patch", *numbers, right=numbers)
    for piece in found.pieces:
        if piece.layers or piece.problems:
            table.add_row(*_piece_cells(piece))
    console.print(table)
    console.print("Before, After: CIEDE2000 from measured (1 is just seen). Unseen: foretold from all other patches.")
    console.print(f"{_medians(found)}\n", markup=False)
    dyes = plain_table("", "Dye", "Build-up", "Expected error", "Trust", "Book", right=("Expected error",))
    for dye in found.dyes:
        dyes.add_row(*_dye_cells(dye, result))
    console.print(dyes)
    console.print(_cloth_words(found), markup=False)


def _cloth_words(found: Calibration) -> str:
    if found.surface_between is None:
        return (
            f"Undyed cloth {found.cloth}: each dye keeps it, and a design that doesn't state its cloth's colour takes "
            "it from its dyes."
        )
    low, high = found.surface_between
    return (
        f"Undyed cloth {found.cloth}, surface floor {found.surface:.3f} (likely {low:.3f} to {high:.3f}): each dye "
        "keeps them, and a design that doesn't state its cloth's colour or surface takes them from its dyes."
    )


def _medians(found: Calibration) -> str:
    kinds = (("miss_before", "before"), ("miss_after", "after"), ("held_out", "unseen"))
    known = [(value, word) for kind, word in kinds if (value := found.median(kind)) is not None]
    return f"Median: {', '.join(f'{value:.1f} {word}' for value, word in known)}."


def _piece_cells(piece: MeasuredPiece) -> tuple[str | Text, ...]:
    if piece.problems:
        name = Text(f"{piece.name}: left out, {'; '.join(map(str, piece.problems))}", style="yellow")
        return cloth_piece(piece.measured), piece.measured, "", "", name, "", "", ""
    unseen = "" if piece.held_out is None else f"{piece.held_out:.1f}"
    return (
        cloth_piece(piece.measured),
        piece.measured,
        cloth_piece(piece.after),
        piece.after,
        Text(piece.name),
        f"{piece.miss_before:.1f}",
        f"{piece.miss_after:.1f}",
        unseen,
    )


def _dye_cells(dye: CalibratedDye, result: Calibrated) -> tuple[str | Text, ...]:
    law = dye.build_up.law if dye.build_up.law == "linear" else f"{dye.build_up.law}, bend {dye.build_up.bend:.2f}"
    error = "" if dye.expected_error is None else f"{dye.expected_error:.1f}"
    return cloth_piece(dye.hex), Text(dye.name), law, error, trust(dye.expected_error), _fate(dye, result)


def _fate(dye: CalibratedDye, result: Calibrated) -> str:
    changes = result.changes
    if changes is None:
        return "not written"
    if dye.name in changes.added:
        return "new"
    if dye.name in changes.replaced:
        return "replaced"
    old = changes.book.entry(dye.name)
    if old.measured and old.expected_error is None:
        return "kept: it was measured; --replace takes the new one"
    if old.expected_error is None or old.expected_error == dye.expected_error:
        return "unchanged"
    return f"kept: it was better ({old.expected_error:.1f}); --replace takes the new one"


def print_comparison(console: Console, result: Compared) -> None:
    """Each region, planned beside dyed, with the difference in words."""
    table = plain_table("", "", "Planned", "", "Dyed", "Took", "Share", "Off", "In words", right=("Share", "Off"))
    for region in result.comparison.regions:
        table.add_row(
            str(region.number),
            cloth_piece(region.planned),
            region.planned,
            cloth_piece(region.dyed),
            region.dyed,
            Text(" + ".join(region.history) or "bare cloth"),
            str(percent(region.share)),
            f"{region.miss:.1f}",
            str(region.words),
        )
    console.print(table)
    for note in result.comparison.notes:
        console.print(str(note), markup=False)
