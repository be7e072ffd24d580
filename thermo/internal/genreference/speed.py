#!/usr/bin/env python3
"""Time the CoolProp library and this package side by side in one run.

    venv/bin/python thermo/internal/genreference/speed.py

Run from the module's root with `coolprop` installed (see reference.py) and go
on the path. CoolProp is called through its low-level interface with one state
object that is reused; the time is that of the flash alone at random pressures,
best of three. This package is timed by its own benchmarks, per row of a column
call. Results go to standard output as a table.
"""
import random
import re
import subprocess
import sys
import time

import CoolProp
from CoolProp import AbstractState

sys.path.insert(0, "thermo/internal/genreference")
import reference  # noqa: E402

CALLS = {"R134a": 3000, "R290": 3000, "R744": 3000, "R410A": 200, "R454B": 200, "R448A": 60}


def flash_seconds(a, q, pressures):
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        for p in pressures:
            a.update(CoolProp.PQ_INPUTS, p, q)
        best = min(best, (time.perf_counter() - start) / len(pressures))
    return best


def overhead(n=20000):
    """What one low-level call costs without any work, by the same loop."""
    a = AbstractState("HEOS", "R134a")
    start = time.perf_counter()
    for _ in range(n):
        a.T_critical()
    return (time.perf_counter() - start) / n


def best(found):
    """The least time of each pair of names."""
    out = {}
    for a, b, ns in found:
        out[(a, b)] = min(float(ns), out.get((a, b), float("inf")))
    return out


def own():
    """ns per row of the fast column calls and of the equations, by name."""
    text = subprocess.run(
        ["go", "test", "-run", "xxx", "-bench", "DewTemperatures|BubbleTemperatures|Equations", "-benchtime", "200ms", "-count", "5", "./thermo"],
        check=True, capture_output=True, text=True).stdout
    fast = best(re.findall(r"Benchmark(DewTemperatures|BubbleTemperatures)/refrigerant=(\S+?)-\d+\s.*?([\d.]+) ns/row", text))
    exact = best(re.findall(r"Equations/refrigerant=(\S+?)/call=(bubble|dew)-\d+\s+\d+\s+([\d.]+) ns/op", text))
    return fast, exact


def main():
    fast, exact = own()
    composition = dict(reference.registry())
    print(f"CoolProp {CoolProp.__version__}; one call of its interface without work: {overhead() * 1e9:.0f} ns\n")
    print("refrigerant line    CoolProp, ns   fast, ns    ratio   equations, ns    ratio")
    for name, n in CALLS.items():
        a = reference.state(composition[name])
        rng = random.Random(1)
        pressures = [1e5 * 25 ** rng.random() for _ in range(n)]
        if name == "R744":
            pressures = [6e5 * 10 ** rng.random() for _ in range(n)]
        for q, line, call in ((0, "bubble", "BubbleTemperatures"), (1, "dew", "DewTemperatures")):
            ns = flash_seconds(a, q, pressures) * 1e9
            f, e = fast[(call, name)], exact[(name, line)]
            print(f"{name:<11} {line:<7} {ns:>12.0f} {f:>10.1f} {ns / f:>8.0f} {e:>15.0f} {ns / e:>8.1f}")


main()
