"""Makes the notebooks' data afresh and executes every notebook; an error in a cell fails.

usage: run.py [--update] [--keep] [NOTEBOOK...]

The data go below .cache/notebooks: the demo, twenty cold rooms over two years, and a fleet
with its truth. With --update the outputs are written into the notebooks; with --keep the
data that are there are used again.
"""
import json
import os
import pathlib
import shutil
import subprocess
import sys
import time

import nbformat
from nbclient import NotebookClient

TOP = pathlib.Path(__file__).resolve().parent.parent
DATA = TOP / ".cache" / "notebooks"
SEED = "5"
LARGEST = 150_000  # bytes of a notebook with its outputs
KINDS = ["freezer_room", "display_cabinet", "air_conditioner", "chiller", "water_cooled_chiller", "air_heat_pump", "pack", "ground_heat_pump"]


def rimelog(*args):
    done = subprocess.run([DATA / "rimelog", *map(str, args)], capture_output=True, text=True)
    if done.returncode not in (0, 3):  # 3: done, something was left out, as invented fleets want it
        sys.exit(f"rimelog {' '.join(map(str, args))} ended with {done.returncode}\n{done.stderr}")


def prepare():
    shutil.rmtree(DATA, ignore_errors=True)
    DATA.mkdir(parents=True)
    subprocess.run(["go", "build", "-o", DATA / "rimelog", "./cmd/rimelog"], cwd=TOP, check=True)
    rimelog("demo", "-workspace", DATA / "demo")
    mix = DATA / "cold.json"
    mix.write_text(json.dumps({"kinds": {"cold_room": 1, **dict.fromkeys(KINDS, 0)}}))
    rimelog("simulate", "-out", DATA / "rooms", "-systems", 20, "-years", 2, "-logging", "visits", "-seed", 11, "-mix", mix)
    (DATA / "rooms" / "workspace").rename(DATA / "cold")
    rimelog("run", "-workspace", DATA / "cold")
    rimelog("simulate", "-out", DATA / "fleet", "-systems", 40, "-years", 2.5, "-logging", "visits", "-seed", SEED)
    rimelog("run", "-workspace", DATA / "fleet" / "workspace")


def execute(path, update):
    notebook = nbformat.read(path, as_version=4)
    began = time.monotonic()
    NotebookClient(notebook, timeout=300, resources={"metadata": {"path": str(path.parent)}}).execute()
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)  # when it ran is nobody's business
    size = len(nbformat.writes(notebook))
    if size > LARGEST:
        sys.exit(f"{path.name}: {size} bytes with its outputs; want at most {LARGEST}")
    if update:
        nbformat.write(notebook, path)
    print(f"{path.name}: {len(notebook.cells)} cells in {time.monotonic() - began:.0f} s, {size} bytes", flush=True)


def main(args):
    update = "--update" in args
    names = [a for a in args if not a.startswith("--")]
    if "--keep" not in args:
        prepare()
    os.environ["RIMELOG_DATA"] = str(DATA)
    here = pathlib.Path(__file__).resolve().parent
    paths = [here / n for n in names] or sorted(here.glob("*.ipynb"))
    for path in paths:
        execute(path, update)
    print(f"{len(paths)} passed, 0 failed")


main(sys.argv[1:])
