"""What `calibrate` and `compare` print: each patch and dye, each region planned beside dyed."""

from rich.console import Console
from rich.text import Text

from batiksim.cli.report.tables import cloth_piece, plain_table, tenths
from batiksim.jobs import Calibrated, CalibratedDye, Calibration, Compared, MeasuredPiece
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.values.colour_words import history_words

# CIEDE2000 in words; common practice, no source.
_TRUST = ((1.0, "very_sure"), (2.0, "sure"), (4.0, "fair"), (float("inf"), "rough"))


def trust(error: float | None) -> Message:
    """How far to trust a prediction with such an error."""
    word = "unknown" if error is None else next(word for limit, word in _TRUST if error <= limit)
    return say(f"cli.calibrate.trust.{word}")


def print_calibration(console: Console, result: Calibrated) -> None:
    """Predicted against measured for every patch, then each dye and what became of it."""
    found = result.calibration
    for note in result.notes:
        console.print(str(note), markup=False)
    console.print()
    numbers = ("before", "after", "unseen")
    table = plain_table("measured", "", "predicted", "", "patch", *numbers, right=numbers)
    for piece in found.pieces:
        if piece.layers or piece.problems:
            table.add_row(*_piece_cells(piece))
    console.print(table)
    console.print(str(say("cli.calibrate.columns")))
    console.print(f"{_medians(found)}\n", markup=False)
    dyes = plain_table("", "dye", "build_up", "expected_error", "trust", "book", right=("expected_error",))
    for dye in found.dyes:
        dyes.add_row(*_dye_cells(dye, result))
    console.print(dyes)
    console.print(str(_cloth_words(found)), markup=False)


def _cloth_words(found: Calibration) -> Message:
    if found.surface_between is None:
        return say("cli.calibrate.cloth", colour=found.cloth)
    low, high = found.surface_between
    return say("cli.calibrate.cloth_and_surface", colour=found.cloth, surface=found.surface, low=low, high=high)


def _medians(found: Calibration) -> Message:
    kinds = (("miss_before", "before"), ("miss_after", "after"), ("held_out", "unseen"))
    known = [(value, word) for kind, word in kinds if (value := found.median(kind)) is not None]
    medians = [say(f"cli.calibrate.median.{word}", value=value) for value, word in known]
    return say("cli.calibrate.medians", medians=medians)


def _piece_cells(piece: MeasuredPiece) -> tuple[str | Text, ...]:
    if piece.problems:
        problems = "; ".join(map(str, piece.problems))
        name = Text(str(say("cli.calibrate.left_out", patch=piece.name, problems=problems)), style="yellow")
        return cloth_piece(piece.measured), piece.measured, "", "", name, "", "", ""
    return (
        cloth_piece(piece.measured),
        piece.measured,
        cloth_piece(piece.after),
        piece.after,
        Text(str(piece.name)),
        tenths(piece.miss_before),
        tenths(piece.miss_after),
        "" if piece.held_out is None else tenths(piece.held_out),
    )


def _dye_cells(dye: CalibratedDye, result: Calibrated) -> tuple[str | Text, ...]:
    law = say(f"cli.calibrate.law.{dye.build_up.law}", bend=dye.build_up.bend)
    error = "" if dye.expected_error is None else tenths(dye.expected_error)
    fate, sure = _fate(dye, result), trust(dye.expected_error)
    return cloth_piece(dye.hex), Text(dye.name), str(law), error, str(sure), str(fate)


def _fate(dye: CalibratedDye, result: Calibrated) -> Message:
    """What became of the dye in the book."""
    changes = result.changes
    if changes is None:
        return say("cli.calibrate.book.not_written")
    if dye.name in changes.added:
        return say("cli.calibrate.book.new")
    if dye.name in changes.replaced:
        return say("cli.calibrate.book.replaced")
    old = changes.book.entry(dye.name)
    if old.measured and old.expected_error is None:
        return say("cli.calibrate.book.kept_measured")
    if old.expected_error is None or old.expected_error == dye.expected_error:
        return say("cli.calibrate.book.unchanged")
    return say("cli.calibrate.book.kept_better", error=old.expected_error)


def print_comparison(console: Console, result: Compared) -> None:
    """Each region, planned beside dyed, with the difference in words."""
    table = plain_table("", "", "planned", "", "came_out", "dyed", "share", "off", "words", right=("share", "off"))
    for region in result.comparison.regions:
        table.add_row(
            str(region.number),
            cloth_piece(region.planned),
            region.planned,
            cloth_piece(region.dyed),
            region.dyed,
            Text(history_words(region.history)),
            str(percent(region.share)),
            tenths(region.miss),
            str(region.words),
        )
    console.print(table)
    for note in result.comparison.notes:
        console.print(str(note), markup=False)
