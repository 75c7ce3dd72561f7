"""Reads exported tables back with DuckDB and checks that they say what they were written with.

    python tests/compare/export_duckdb.py PROGRAM FOLDER

PROGRAM is the built program; FOLDER is made: a person's folder with two sessions played from the shipped test sessions, and
their tables as CSV, NDJSON and, written by DuckDB itself from the schema's types, Parquet. Needs the package `duckdb`; without it
the script says so and ends with code 77.
"""

import decimal
import json
import pathlib
import shutil
import subprocess
import sys

try:
    import duckdb
except ModuleNotFoundError:
    print("skipped: the package duckdb is not installed (pip install duckdb)")
    sys.exit(77)


def run(program, home, *arguments):
    done = subprocess.run([program, *arguments, "--home", home], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def read(connection, folder, form):
    """Every table under the types of the schema; DuckDB refuses a value that does not fit its type."""
    schema = json.loads((folder / "schema.json").read_text())
    for table in schema["tables"]:
        columns = {column["name"]: column["type"] for column in table["columns"]}
        path = str(folder / table["file"])
        if form == "csv":
            relation = connection.read_csv(path, header=True, columns=columns, all_varchar=False)
        else:
            relation = connection.read_json(path, format="newline_delimited", columns=columns)
        name = f'{form}_{table["name"]}'
        connection.execute(f"CREATE TABLE {name} AS SELECT * FROM relation")
        parquet = folder / f'{table["name"]}.parquet'
        connection.execute(f"COPY {name} TO '{parquet}' (FORMAT parquet)")
        connection.execute(f"CREATE TABLE parquet_{form}_{table['name']} AS SELECT * FROM '{parquet}'")
    return [table["name"] for table in schema["tables"]]


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    program, folder = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    home, recipes = folder / "home", pathlib.Path(__file__).resolve().parents[2] / "recipes"
    for recipe in ("countertop-oven", "desktop-computer"):
        run(program, home, "bench", recipe, "--answers", recipes / f"{recipe}.session.toml", "--format", "json")
    connection = duckdb.connect()
    for form in ("csv", "ndjson"):
        run(program, home, "export", "--all", "--out", folder / form, "--format", form)
        names = read(connection, folder / form, form)
    for name in names:
        for other in (f"ndjson_{name}", f"parquet_csv_{name}", f"parquet_ndjson_{name}"):
            differ = connection.execute(
                f"SELECT count(*) FROM ((FROM csv_{name} EXCEPT ALL FROM {other}) UNION ALL (FROM {other} EXCEPT ALL FROM csv_{name}))"
            ).fetchone()[0]
            assert differ == 0, f"csv_{name} and {other} differ in {differ} rows"
    replayed = json.loads(run(program, home, "replay", "--all", "--format", "json"))
    nets = dict(connection.execute("SELECT session, net FROM csv_sessions").fetchall())
    assert nets == {s["session"]: decimal.Decimal(s["was"]["net"]) for s in replayed["sessions"]}, nets
    heaviest = connection.execute("SELECT part, net_g FROM csv_parts ORDER BY net_g DESC NULLS LAST LIMIT 1").fetchone()
    rows = connection.execute("SELECT count(*) FROM csv_answers").fetchone()[0]
    print(f"DuckDB {duckdb.__version__}: {len(names)} tables alike as CSV, NDJSON and Parquet; {len(nets)} nets as replayed; "
          f"{rows} answers; heaviest part: {heaviest[0]}, {heaviest[1].normalize():f} g")


if __name__ == "__main__":
    main()
