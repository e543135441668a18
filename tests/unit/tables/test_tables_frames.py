"""The typed tables: always all tables, all columns, the right dtypes; and what is written."""

import subprocess
import sys

import pandas as pd
import pytest

from malformed import TODAY
from paryield.errors import InputError
from paryield.tables import DTYPES, TABLES, Tables, empty_tables, make_tables, read_folder, write_folder


def test_every_table_has_every_column_in_its_dtype(read):
    for tables in (empty_tables(), read({}).tables):
        assert [name for name, _ in tables.items()] == list(TABLES)
        for name, frame in tables.items():
            expected = {column.name: DTYPES[column.kind] for column in TABLES[name].columns}
            assert {column: str(dtype) for column, dtype in frame.dtypes.items()} == expected


def test_keys_and_required_columns_are_columns():
    for table in TABLES.values():
        named = {*table.key, *table.required, *(name for group in table.either for name in group)}
        named |= {name for pair in table.at_most for name in pair}
        assert named <= set(table.names)
        assert len(set(table.names)) == len(table.names)


def test_made_tables_are_converted_and_defaults_filled():
    rounds = pd.DataFrame(
        {"golfer_id": ["G1", "G1"], "played_on": ["2026-05-01", None], "putts": [31.0, None]}
    )
    frame = make_tables({"rounds": rounds}).rounds
    assert frame["putts"].tolist() == [31, pd.NA]
    assert frame["holes"].tolist() == [18, 18]
    assert frame["pcc"].tolist() == [0.0, 0.0]
    assert frame["counts_for_index"].tolist() == [True, True]
    assert frame["played_on"].isna().tolist() == [False, True]


def test_wrong_frames_are_refused():
    with pytest.raises(ValueError, match="'rounds' has no column wind"):
        make_tables({"rounds": pd.DataFrame({"wind": [1]})})
    with pytest.raises(KeyError, match="no table is called 'round'"):
        make_tables({"round": pd.DataFrame()})
    frames = dict(empty_tables().items())
    with pytest.raises(ValueError, match="must have the columns golfer_id"):
        Tables(**{**frames, "golfers": pd.DataFrame({"golfer_id": []})})
    with pytest.raises(ValueError, match=r"rounds.putts must be Int64, found float64"):
        Tables(**{**frames, "rounds": frames["rounds"].astype({"putts": "float64"})})


def test_a_file_for_spreadsheets_runs_no_formula_and_shows_the_plus(tmp_path):
    golfers = pd.DataFrame(
        {"golfer_id": ["G1", "#2"], "display_name": ["=HYPERLINK(1)", "@sum"], "start_index": [-2.1, 0.0]}
    )
    rounds = pd.DataFrame({"golfer_id": ["G1"], "played_on": ["2026-05-01"], "score_differential": [-0.4]})
    tables = make_tables({"golfers": golfers, "rounds": rounds})
    paths = write_folder(tables, tmp_path, comment="made by a test")
    assert [path.name for path in paths] == [*(f"{name}.csv" for name in TABLES), "settings.toml"]
    lines = (tmp_path / "golfers.csv").read_text(encoding="utf-8-sig").splitlines()
    assert lines[0] == "# made by a test"
    assert lines[2].startswith("G1,'=HYPERLINK(1),,,,,+2.1,")
    assert lines[3].startswith("'#2,'@sum,,,,,0,")
    assert ",-0.4," in (tmp_path / "rounds.csv").read_text(encoding="utf-8-sig").splitlines()[2]
    reading = read_folder(tmp_path, today=TODAY)
    assert reading.problems == ()
    assert reading.tables.equals(tables)


def test_a_folder_that_cannot_be_written(tmp_path):
    (tmp_path / "file").write_text("a")
    with pytest.raises(InputError) as caught:
        write_folder(empty_tables(), tmp_path / "file")
    assert "cannot be written" in caught.value.line()
    with pytest.raises(InputError, match="no format 'ods'"):
        write_folder(empty_tables(), tmp_path, "ods")  # type: ignore[arg-type]


def test_importing_tables_brings_no_model_and_no_workbook_reader():
    unwanted = ("pymc", "pytensor", "numba", "openpyxl")
    code = f"import sys, paryield.tables; print([name for name in {unwanted} if name in sys.modules])"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "[]"
