"""Opens a workspace's dataset with other programs' readers, by the very lines that
`rimelog tables` prints, and checks types, UTC times, partition columns and sums.

usage: readers.py WORKSPACE TEXT_OF_TABLES WORKBOOK
"""
import datetime
import glob
import math
import os
import sys
import textwrap

import duckdb
import openpyxl
import polars as pl
import polars.selectors as cs
import pyarrow as pa


def printed(text, label, end):
    """The lines that the documentation prints beside a label."""
    block = text.split("\n  " + label, 1)[1].split(end, 1)[0]
    return textwrap.dedent(" " * (2 + len(label)) + block)


def with_duckdb(text):
    sql = printed(text, "DuckDB", "(decimals")
    con = duckdb.connect()
    con.execute("SET TimeZone = 'UTC'")
    types = dict((r[0], r[1]) for r in con.execute("DESCRIBE " + sql).fetchall())
    want = {"time": "TIMESTAMP WITH TIME ZONE", "suction_pressure_kpa": "DECIMAL(9,3)", "energy_kwh": "DECIMAL(18,3)",
            "sink_flow_m3_h": "DECIMAL(9,6)", "running": "BOOLEAN", "system": "VARCHAR", "month": "VARCHAR"}
    for name, kind in want.items():
        assert types[name] == kind, f"DuckDB: {name} is {types[name]}, want {kind}"
    wrong = con.execute(f"SELECT count(*) FROM ({sql}) WHERE strftime(time, '%Y-%m') <> month").fetchone()[0]
    assert wrong == 0, f"DuckDB: {wrong} rows lie in another month than their time says"
    doubles = con.execute("DESCRIBE SELECT * FROM read_parquet('dataset/visits/*/data.parquet')").fetchall()
    assert dict((r[0], r[1]) for r in doubles)["superheat_k"] == "DOUBLE"
    return con.execute(f"SELECT count(*), sum(suction_pressure_kpa)::DOUBLE, min(time), max(time), count(DISTINCT system) FROM ({sql})").fetchone()


def with_pyarrow(text):
    space = {"pa": pa}
    exec(printed(text, "pyarrow, pandas", "\n  polars"), space)
    table, floats = space["table"], space["floats"]
    assert table.schema.field("time").type == pa.timestamp("us", tz="UTC"), table.schema.field("time")
    assert table.schema.field("suction_pressure_kpa").type == pa.decimal128(9, 3)
    assert table.schema.field("system").type == pa.string() and table.schema.field("month").type == pa.string()
    frame = floats.to_pandas()
    assert str(frame["suction_pressure_kpa"].dtype) == "float64", frame.dtypes
    assert str(frame["time"].dt.tz) == "UTC"
    return (len(frame), frame["suction_pressure_kpa"].sum(), frame["time"].min(), frame["time"].max(), frame["system"].nunique())


def with_polars(text):
    space = {"pl": pl, "cs": cs}
    exec(printed(text, "polars", "\n\n").strip(), space)
    schema = space["frame"].collect_schema()
    assert schema["time"] == pl.Datetime("us", "UTC"), schema["time"]
    assert schema["suction_pressure_kpa"] == pl.Decimal(9, 3), schema["suction_pressure_kpa"]
    assert schema["system"] == pl.String and schema["month"] == pl.String
    frame = space["floats"].collect()
    assert frame.schema["suction_pressure_kpa"] == pl.Float64
    return (frame.height, frame["suction_pressure_kpa"].sum(), frame["time"].min(), frame["time"].max(), frame["system"].n_unique())


def every_table():
    """Every table's files have one schema for every reader."""
    for folder in sorted(glob.glob("dataset/*")):
        files = glob.glob(folder + "/**/data.parquet", recursive=True)
        if files:
            duckdb.sql(f"SELECT count(*) FROM read_parquet({files!r}, union_by_name = false)").fetchall()
            pl.read_parquet(files, hive_partitioning=False)


def with_a_spreadsheet(path):
    book = openpyxl.load_workbook(path)
    visits = book["visits"]
    assert visits.freeze_panes == "A2", visits.freeze_panes
    header = [c.value for c in visits[1]]
    assert "superheat_k [K]" in header and "start [UTC]" in header, header
    first = visits.cell(2, header.index("start [UTC]") + 1).value
    assert isinstance(first, datetime.datetime), first
    for row in book["findings"].iter_rows(min_row=2):
        for cell in row:
            assert cell.data_type != "f", f"{cell.coordinate} is a formula: {cell.value}"
    return visits.max_row - 1


def main():
    workspace, text, workbook = sys.argv[1:]
    with open(text, encoding="utf-8") as f:
        text = f.read()
    workbook = os.path.abspath(workbook)
    os.chdir(workspace)
    results = {"DuckDB": with_duckdb(text), "pyarrow": with_pyarrow(text), "polars": with_polars(text)}
    rows, total, first, last, systems = results["DuckDB"]
    for name, (r, t, a, b, s) in results.items():
        assert r == rows and s == systems, f"{name} sees {r} rows of {s} systems, DuckDB {rows} of {systems}"
        assert math.isclose(t, total, rel_tol=1e-9), f"{name} sums to {t}, DuckDB to {total}"
        assert a.timestamp() == first.timestamp() and b.timestamp() == last.timestamp(), f"{name}: {a} to {b}"
    every_table()
    sheet = with_a_spreadsheet(workbook)
    visits = duckdb.sql("SELECT count(*) FROM read_parquet('dataset/visits/*/data.parquet')").fetchall()[0][0]
    assert sheet == visits, f"the workbook has {sheet} visits, the dataset {visits}"
    print(rows, "samples of", systems, "systems:", ", ".join(results), "and a spreadsheet reader agree")


main()
