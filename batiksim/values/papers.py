"""The papers that sheets are printed on."""

from batiksim.values.rules import Choice

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm; ISO 216; ANSI/ASME Y14.1
PAPER = Choice(help="The paper to print on.", choices=tuple(PAPERS), example="a4")
TYPST_PAPERS = {"a4": "a4", "letter": "us-letter"}  # the same as the typesetter calls them
