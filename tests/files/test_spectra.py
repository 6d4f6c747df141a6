"""Reflectance files in the spellings that meters and spreadsheets give."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from batiksim.errors import BatikError
from batiksim.files.measurements.spectra import read_spectrum

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


def cgats(names, rows, *, fields="NM_{}", id_field="SAMPLE_NAME", head="CGATS.17\n", nm=NM):
    """A measurement as a meter exports it."""
    spectral = [fields.format(one) for one in nm]
    lines = [head + 'ORIGINATOR "a meter"', f"NUMBER_OF_FIELDS {len(spectral) + 2}", "BEGIN_DATA_FORMAT"]
    lines += [
        " ".join(["SAMPLE_ID", id_field, *spectral]),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(names)}",
        "BEGIN_DATA",
    ]
    for number, (name, row) in enumerate(zip(names, rows, strict=True), start=1):
        lines.append(" ".join([str(number), f'"{name}"', *(str(value) for value in row)]))
    return "\n".join([*lines, "END_DATA", ""])


@pytest.mark.parametrize(
    "fields", ["NM_{}", "nm{}", "SPECTRAL_NM{}", "SPECTRAL_NM_{}", "SPEC_{}", "R_{}", "{}", "{}nm", "SPECTRAL_DEC_{}"]
)
def test_cgats_spellings(file, fields):
    assert read_spectrum(file(cgats(["sea"], [[0.25] * 31], fields=fields))) == tuple((float(nm), 0.25) for nm in NM)


@pytest.mark.parametrize(
    "text",
    [
        cgats(["sea"], [[25.0] * 31]),
        cgats(["sea"], [["25,0"] * 31]),
        cgats(["sea"], [[25] * 31]).replace(" ", "\t").replace("\n", "\r\n"),
        cgats(["sea"], [[25] * 31]).replace("NM_500", "\nNM_500").replace("25 25 25 25 25", "25 25\n25 25 25"),
        cgats(["sea"], [[25] * 31]).replace("BEGIN_DATA\n", "BEGIN_DATA\n# the blue one\n\n"),
        cgats(["sea"], [[25] * 31], head='CGATS.17\nDESCRIPTOR "caf\xe9"\n').encode("latin-1"),
        cgats(["sea"], [[0.25] * 31], fields="SPECTRAL_PCT_{}").replace("0.25", "25"),
    ],
)
def test_cgats_layouts(file, text):
    assert read_spectrum(file(text)) == tuple((float(nm), 0.25) for nm in NM)


def test_pale_percent_beside_others_is_still_percent(file):
    text = cgats(["white", "ink"], [[80.0] * 31, [1.2] * 31])
    assert read_spectrum(file(text), "ink")[0] == (400, pytest.approx(0.012))
    alone = cgats(["ink"], [[1.2] * 31], fields="SPECTRAL_PCT_{}")
    assert read_spectrum(file(alone))[0] == (400, pytest.approx(0.012))
    assert read_spectrum(file("nm;R%\n" + "".join(f"{nm};1,2\n" for nm in NM)))[0] == (400, pytest.approx(0.012))


def test_a_sample_by_name_or_number(file):
    path = file(cgats(["sea", "Sun"], [[0.25] * 31, [0.5] * 31]))
    assert read_spectrum(path, "sea")[3] == (430, 0.25)
    assert read_spectrum(path, "sun")[3] == (430, 0.5)
    assert read_spectrum(path, "2")[3] == (430, 0.5)


def test_wide_and_uneven_ranges_in_cgats(file):
    nm = [*range(360, 500, 5), *range(500, 781, 20)]
    rows = read_spectrum(file(cgats(["sea"], [[0.25] * len(nm)], nm=nm)))
    assert (rows[0], rows[-1], len(rows)) == ((360, 0.25), (780, 0.25), len(nm))


def test_a_table_without_spectra_is_passed_over(file):
    other = "BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n1 50 0 0\nEND_DATA\n"
    assert len(read_spectrum(file(other + cgats(["sea"], [[0.25] * 31])))) == 31


GOOD = cgats(["sea", "sun"], [[0.25] * 31, [0.5] * 31])


@pytest.mark.parametrize(
    ("text", "sample", "told"),
    [
        (GOOD, None, "holds 2 samples; choose one with sample = \"name\"; names in the file: 'sea', 'sun'"),
        (GOOD, "see", "sample: has no such sample (found 'see'); did you mean 'sea'?"),
        (GOOD.replace('"sun"', '"sea"'), "sea", "sample: has more than one sample with that name, on lines 9 and 10"),
        (GOOD.replace("0.25", "", 1), "sea", "line 9: has 32 values for the 33 fields that BEGIN_DATA_FORMAT names"),
        (GOOD.replace("0.25 ", "0.25 0.25 ", 1), "sea", "line 9: has 34 values for"),
        (GOOD.replace("0.25", "dark", 1), "sea", "line 9: needs a number for NM_400 (found 'dark')"),
        (GOOD.replace("0.25", "-0.25", 1), "sea", "line 9: is not a reflectance (found -0.25)"),
        (GOOD.replace("END_DATA\n", ""), "sea", "is cut short"),
        (GOOD.replace("NM_410", "NM_400"), "sea", "gives a wavelength twice (found 400 nm)"),
        (GOOD.replace("NM_400", "X_400"), "sea", "must cover 400 to 700 nm"),
        (GOOD.replace("NM_", "X_"), "sea", "has no reflectance by wavelength"),
        ("".join(f"{nm},0.25\n" for nm in NM), "sea", "sample: is only for files with several samples (found 'sea')"),
    ],
)
def test_cgats_slips(file, text, sample, told):
    path = file(text)
    with pytest.raises(BatikError) as caught:
        read_spectrum(path, sample)
    assert told in str(caught.value)
    assert caught.value.file == str(path)


@settings(max_examples=150, deadline=None)
@given(
    st.one_of(
        st.binary(max_size=400),
        st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")),
        st.lists(
            st.sampled_from(
                ["BEGIN_DATA_FORMAT", "END_DATA_FORMAT", "BEGIN_DATA", "END_DATA", "NM_400", "1", "\n", '"', ","]
            )
        ).map(lambda words: " ".join(words).encode()),
        st.tuples(st.integers(0, len(GOOD)), st.integers(0, len(GOOD)), st.text(max_size=5)).map(
            lambda cut: (GOOD[: cut[0]] + cut[2] + GOOD[cut[1] :]).encode("utf-8", "replace")
        ),
    ),
    st.none() | st.sampled_from(["sea", "1", ""]),
)
def test_garbage_is_a_spectrum_or_one_clear_error(raw, sample):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.txt"
        path.write_bytes(raw)
        try:
            rows = read_spectrum(path, sample)
        except BatikError:
            return
        assert all(0 <= value <= 1 for _, value in rows)


def test_missing(tmp_path):
    with pytest.raises(BatikError, match="can't be opened"):
        read_spectrum(tmp_path / "none.csv")
