"""Reflectance files in the spellings that meters and spreadsheets give."""

from __future__ import annotations

import pytest

from batiksim.errors import BatikError
from batiksim.files.spectra import read_spectrum

NM = range(400, 701, 10)


@pytest.fixture
def file(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "blue.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return path

    return write


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"{nm},0.25\n" for nm in NM),
        "wavelength,reflectance\n" + "".join(f"{nm}, 0.25\n" for nm in NM),
        "nm;R%\r\n" + "".join(f"{nm};25,0\r\n" for nm in NM),
        "# measured by daylight, twice\n\n" + "".join(f"{nm}\t25.0%\n" for nm in reversed(NM)),
        "\ufeffnm,R,\n" + "".join(f"{nm},0.25,\n" for nm in NM),
    ],
)
def test_spellings(file, text):
    assert read_spectrum(file(text)) == tuple((float(nm), 0.25) for nm in NM)


def test_wider_measurements_are_kept(file):
    rows = read_spectrum(file("".join(f"{nm},{nm / 1000}\n" for nm in range(360, 781, 20))))
    assert rows[0] == (360, 0.36)
    assert rows[-1] == (780, 0.78)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no measured values"),
        ("nm,R\n", "no measured values"),
        ("".join(f"{nm},0.2\n" for nm in range(420, 701, 10)), "must cover 400 to 700 nm"),
        ("".join(f"{nm},0.2\n" for nm in range(400, 701, 25)), "gap of 25 nm"),
        ("".join(f"{nm},0.2\n" for nm in NM) + "500,0.3\n", "twice"),
        ("".join(f"{nm},{'much' if nm == 420 else 0.2}\n" for nm in NM), "line 3"),
        ("".join(f"{nm},{-0.1 if nm == 420 else 0.2}\n" for nm in NM), "line 3: is not a reflectance"),
        ("".join(f"{nm},{140 if nm == 420 else 20}\n" for nm in NM), "line 3: is not a reflectance"),
        ("".join(f"{nm},nan\n" for nm in NM), "line 1"),
        ("0.4,0.2\n0.5,0.2\n0.7,0.2\n", "not a wavelength"),
        ("400,0.2,7\n", "line 1"),
        (b"\xff\xfe4\x000\x00", "not plain text"),
        ("1" * 1_000_001, "far too large"),
    ],
)
def test_slips(file, text, told):
    path = file(text)
    with pytest.raises(BatikError) as caught:
        read_spectrum(path)
    assert told in str(caught.value)
    assert caught.value.file == str(path)


def test_missing(tmp_path):
    with pytest.raises(BatikError, match="can't be opened"):
        read_spectrum(tmp_path / "none.csv")
