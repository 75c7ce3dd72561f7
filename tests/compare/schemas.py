"""Holds JSON documents of the program against their schemas with a full JSON Schema reader.

    python tests/compare/schemas.py PROGRAM FOLDER

PROGRAM is the built program; FOLDER is made: a copy of the folder in tests/old_formats/0.1.0-cut. Needs the package `jsonschema`; without it the
script says so and ends with code 77. tests/schemas holds the same documents with a small reader of its own.
"""

import json
import os
import pathlib
import shutil
import subprocess
import sys

try:
    import jsonschema
except ModuleNotFoundError:
    print("skipped: the package jsonschema is not installed (pip install jsonschema)")
    sys.exit(77)

ROOT = pathlib.Path(__file__).resolve().parents[2]
CALLS = """
tally risky-1 | tally risky-2 | tally test-box-1 | tally test-box-2 --yard hollow-lane | demo countertop-oven
demo ups-sealed-lead --yard ellerwinkel | recipes | recipes --by gain | yards | stock | stock --by lot
plan corded-tool | plan test-box --yard hollow-lane --yard fixed-yard --floor 15/h | load --trip-cost 0
prices steel-light | prices | check risky fixed-yard | replay --all --yard hollow-lane | compare test-box
"""


def main(program, folder):
    shutil.copytree(ROOT / "tests/old_formats/0.1.0-cut/home", folder)
    environment = {**os.environ, "KNOCKDOWN_CLOCK": "2026-11-02T10:00:00Z"}
    held = 0
    for call in CALLS.replace("\n", "|").split("|"):
        if not call.strip():
            continue
        arguments = [program, "--home", folder, *call.split(), "--format", "json"]
        document = json.loads(subprocess.run(arguments, capture_output=True, env=environment).stdout)
        schema = json.loads((ROOT / f"tests/schemas/{document['format']}-{document['version']}.json").read_text())
        jsonschema.Draft202012Validator.check_schema(schema)
        jsonschema.Draft202012Validator(schema).validate(document)
        held += 1
    print(f"{held} documents keep to their schemas")


if __name__ == "__main__":
    main(*sys.argv[1:])
