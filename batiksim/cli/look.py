"""Commands that show a cloth: new, preview, check."""

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
    design_argument,
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
from batiksim.cli.words import WHOLE, Command, Number
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say


class _Check(Command):
    def help_parts(self) -> dict[str, Any]:
        return {"checks": check_codes()}


@click.command(cls=Command)
@click.argument("folder", type=PATH)
def new(folder: Path) -> None:
    """Write a starter design into FOLDER, ready to preview."""
    made = jobs.new_design(folder)
    tell(say("cli.new.saved", folder=folder, files=made))
    tell(say("cli.see_it", design=folder, out=folder / "preview"))


@click.command(cls=Command)
@design_argument
@click.option("--out", "out", type=PATH)
@click.option("--wax-off", is_flag=True)
@click.option("--step", type=WHOLE)
@click.option("--width", "width_px", type=Number(int, 16, 30000))
@light_option
@wet_option
@json_option
def preview(design: Path, out: Path | None, as_json: bool, **options: Any) -> None:
    """Show the cloth after every step of DESIGN, and finished."""
    if out is None:
        raise BatikError("cli.error.preview_without_out", field="out")
    with progress_line(not as_json) as progress:
        saved = jobs.save_preview(design, out, progress=progress, **options)
    if as_json:
        print_data(saved.report)
        return
    console = terminal()
    print_regions(console, saved.regions)
    print_assumed(saved.assumed, usual=True)
    print_findings(console, saved.findings, quick=True)
    tell(say("cli.saved", count=len(saved.files), folder=saved.folder))


@click.command(cls=_Check)
@design_argument
@click.option("--out", type=PATH)
@click.option("--corrected", type=PATH)
@checks_option("--only")
@checks_option("--skip")
@click.option("--strict", is_flag=True)
@json_option
def check(design: Path, as_json: bool, out: Path | None, corrected: Path | None, strict: bool, **options: Any) -> None:
    """Look for what would spoil the cloth of DESIGN.

    A design leaves checks out for good with a line skip = ["fit"] under [checks].
    """
    with progress_line(not as_json) as progress:
        findings = jobs.check(design, progress=progress, **options)
    if corrected is not None:
        findings.save_corrected(corrected)
    if out is not None:
        findings.save(out)
    if as_json:
        print_data(findings.data())
    else:
        print_findings(terminal(), findings)
        if any(finding.code == "fit" for finding in findings):
            _print_corrected(corrected)
    if strict and any(finding.severity == "serious" for finding in findings):
        sys.exit(ExitCode.SERIOUS)


def _print_corrected(folder: Path | None) -> None:
    """Where masks that fit are, or how to have them."""
    if folder is None:
        tell(say("cli.check.correct"))
        return
    tell(say("cli.check.corrected", folder=folder))
    if any(folder.glob(f"{jobs.EITHER} *")):
        tell(say("cli.check.corrected_either", either=jobs.EITHER))
