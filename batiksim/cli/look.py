"""Commands that show a cloth: new, preview, check."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.exit_codes import ExitCode
from batiksim.cli.options import (
    PATH,
    check_codes,
    checks_option,
    designs_argument,
    json_option,
    light_option,
    wet_option,
)
from batiksim.cli.report.report import (
    print_assumed,
    print_data,
    print_findings,
    print_regions,
    progress_line,
    tell,
    terminal,
)
from batiksim.cli.several import each_design, file_for, folder_for
from batiksim.cli.words import WHOLE, Command, Number
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say


class _Check(Command):
    def help_parts(self) -> dict[str, Any]:
        return {"checks": check_codes()}


@click.command(cls=Command)
@click.argument("folder", type=PATH)
@json_option
def new(folder: Path, as_json: bool) -> None:
    """Write a starter design into FOLDER, ready to preview."""
    made = jobs.start(folder)
    if as_json:
        print_data(made.data())
        return
    tell(say("cli.new.saved", folder=folder, files=made.files))
    tell(say("cli.see_it", design=folder, out=folder / "preview"))


@click.command(cls=Command)
@designs_argument
@click.option("--out", "out", type=PATH)
@click.option("--wax-off", is_flag=True)
@click.option("--step", type=WHOLE)
@click.option("--width", "width_px", type=Number(int, 16, 30000))
@light_option
@wet_option
@json_option
def preview(designs: tuple[Path, ...], out: Path | None, as_json: bool, **options: Any) -> None:
    """Show the cloth after every step of each DESIGN, and finished.

    As data alone, without a folder to write into, it only reads.
    """
    if out is None and not as_json:
        raise BatikError("cli.error.preview_without_out", field="out")

    def work(design: Path) -> jobs.Saved:
        with progress_line(not as_json) as progress:
            return jobs.save_preview(design, folder_for(out, design, designs), progress=progress, **options)

    each_design(designs, work, show=_print_preview, as_json=as_json)


def _print_preview(_: Path, saved: jobs.Saved) -> None:
    console = terminal()
    print_regions(console, saved.regions)
    print_assumed(saved.assumed, usual=True)
    print_findings(console, saved.findings, quick=True)
    tell(say("cli.saved", count=len(saved.files), folder=saved.folder))


@click.command(cls=_Check)
@designs_argument
@click.option("--out", type=PATH)
@click.option("--corrected", type=PATH)
@checks_option("--only")
@checks_option("--skip")
@click.option("--strict", is_flag=True)
@json_option
def check(
    designs: tuple[Path, ...], as_json: bool, out: Path | None, corrected: Path | None, strict: bool, **options: Any
) -> None:
    """Look for what would spoil the cloth of each DESIGN.

    A design leaves checks out for good with a line skip = ["fit"] under [checks].
    """
    serious: list[Path] = []
    if out is not None:
        jobs.output_ending(out, jobs.MARKED_ENDINGS)  # refused before the work begins

    def work(design: Path) -> jobs.Checked:
        with progress_line(not as_json) as progress:
            findings = jobs.check(design, progress=progress, **options)
        if (file := file_for(out, design, designs)) is not None:
            findings.save(file)
        if (folder := folder_for(corrected, design, designs)) is not None:
            findings.save_corrected(folder)
        if any(finding.severity == "serious" for finding in findings):
            serious.append(design)
        return findings

    def show(design: Path, findings: jobs.Checked) -> None:
        print_findings(terminal(), findings)
        if any(finding.code == "fit" for finding in findings):
            _print_corrected(folder_for(corrected, design, designs))

    each_design(designs, work, show=show, as_json=as_json)
    if strict and serious:
        sys.exit(ExitCode.SERIOUS)


def _print_corrected(folder: Path | None) -> None:
    """Where masks that fit are, or how to have them."""
    if folder is None:
        tell(say("cli.check.correct"))
        return
    tell(say("cli.check.corrected", folder=folder))
    if any(folder.glob(f"{jobs.EITHER} *")):
        tell(say("cli.check.corrected_either", either=jobs.EITHER))
