"""Commands that show a cloth: new, preview, check."""

import sys
from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, codes, design_argument, json_option, light_option, wet_option
from batiksim.cli.report.report import print_assumed, print_data, print_findings, print_regions, progress_line, terminal
from batiksim.errors import BatikError

CHECK_STRICT = 1


@click.command()
@click.argument("folder", type=PATH)
def new(folder: Path) -> None:
    """Write a starter design into FOLDER, ready to preview."""
    made = jobs.new_design(folder)
    click.echo(f"A starter design is in {folder}: {', '.join(made)}")
    click.echo(f'See it with: batiksim preview "{folder}" --out "{folder / "preview"}"')


@click.command()
@design_argument
@click.option("--out", "out", type=PATH, help="Folder for the pictures.")
@click.option("--wax-off", is_flag=True, help="Show the dye beneath, not the wax that still lies on it.")
@click.option("--step", type=int, help="Only the plate after this step (0 = bare cloth).")
@click.option("--width", "width_px", type=click.IntRange(16, 30000), help="A quick look, this many pixels wide.")
@light_option
@wet_option
@json_option
def preview(design: Path, out: Path | None, as_json: bool, **options: Any) -> None:
    """Show the cloth after every step of DESIGN, and finished."""
    if out is None:
        raise BatikError("the preview needs a folder to go to", field="--out", fix="write --out my-preview")
    with progress_line(not as_json) as progress:
        saved = jobs.save_preview(design, out, progress=progress, **options)
    if as_json:
        print_data(saved.report)
        return
    console = terminal()
    print_regions(console, saved.regions)
    print_assumed(saved.report["assumed"], usual=True)
    print_findings(console, saved.findings, quick=True)
    click.echo(f"{len(saved.files)} files in {saved.folder}")


@click.command()
@design_argument
@click.option("--out", type=PATH, help="Picture of the cloth with each place ringed (.png).")
@click.option("--corrected", type=PATH, help="Folder for masks moved to where they fit.")
@click.option("--only", callback=codes, metavar="CHECKS", help="Only these checks, such as leak,mud.")
@click.option("--skip", callback=codes, metavar="CHECKS", help="Leave these checks out.")
@click.option("--strict", is_flag=True, help="End with exit code 1 when anything serious is found.")
@json_option
def check(design: Path, as_json: bool, corrected: Path | None, strict: bool, **options: Any) -> None:
    """Look for what would spoil the cloth of DESIGN.

    CHECKS are leak, neighbours, mud, faint, order, hand, fit, wasted, depth, lost, reach and lamp. A design leaves some
    out for good with a line skip = ["fit"] under [checks].
    """
    with progress_line(not as_json) as progress:
        findings = jobs.check_design(design, corrected=corrected, progress=progress, **options)
    if as_json:
        print_data(jobs.findings_data(findings))
    else:
        print_findings(terminal(), findings)
        if any(finding.code == "fit" for finding in findings):
            _print_corrected(corrected)
    if strict and any(finding.severity == "serious" for finding in findings):
        sys.exit(CHECK_STRICT)


def _print_corrected(folder: Path | None) -> None:
    """Where masks that fit are, or how to have them."""
    if folder is None:
        click.echo("Masks moved to where they fit: batiksim check with --corrected FOLDER writes them.")
        return
    click.echo(f"Masks moved to where they fit are in {folder}.")
    if any(folder.glob(f"{jobs.EITHER} *")):
        click.echo(f'Of those in folders named "{jobs.EITHER} ..." take one: moving both would part them again.')
