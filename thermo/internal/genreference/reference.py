#!/usr/bin/env python3
"""Write testdata/reference/FLUID.csv: property values of the CoolProp library.

    python3 -m venv venv && venv/bin/pip install coolprop==8.0.0
    venv/bin/python thermo/internal/genreference/reference.py [NAME ...]

Run from the module's root. The states are random with a fixed seed per
refrigerant, over -60 to +70 degrees C and below 0.97 of the critical
temperature. Blends use the library's own multi-fluid model and pair parameters;
pairs it does not have are set to its "Lorentz-Berthelot" rule. Enthalpy and
entropy are counted from the saturated (bubble) liquid at the anchor
temperature given in the head of each file.

Columns: line (bubble, dew, gas, liquid), temp_k, pressure_pa, density_kg_m3 of
the line's own phase, incipient_kg_m3 of the phase that just appears (lines
only), enthalpy_kj_kg, entropy_kj_kgk, cp_kj_kgk, sound_m_s.
"""
import pathlib
import random
import sys

import CoolProp
from CoolProp import CoolProp as CP
from CoolProp import AbstractState

ROWS = 8
ALIAS = {
    "R50": "Methane", "R170": "Ethane", "R290": "n-Propane", "R600": "n-Butane", "R600a": "IsoButane",
    "R601": "n-Pentane", "R601a": "Isopentane", "R717": "Ammonia", "R718": "Water", "R744": "CarbonDioxide",
    "R1150": "Ethylene", "R1270": "Propylene", "RE170": "DimethylEther", "R236fa": "R236FA", "R236ea": "R236EA",
    "R227ea": "R227EA", "R365mfc": "R365MFC", "R152a": "R152A", "R1224yd(Z)": "R1224YDZ",
}


def registry():
    for line in open("thermo/refrigerants.txt"):
        w = line.split()
        if w and w[0] == "pure":
            yield w[1], [(w[1], 1.0)]
        elif w and w[0] == "blend":
            yield w[1], [(w[i], float(w[i + 1]) / 100) for i in range(3, len(w), 2)]


def known(a, b):
    """Whether the library has parameters of this pair."""
    try:
        CP.get_mixture_binary_pair_data(a, b, "name1")
        return True
    except ValueError:
        return False


def state(parts):
    names = [ALIAS.get(n, n) for n, _ in parts]
    cas = [CP.get_fluid_param_string(n, "CAS") for n in names]
    for i in range(len(cas)):
        for j in range(i + 1, len(cas)):
            if not (known(cas[i], cas[j]) or known(cas[j], cas[i])):
                CP.apply_simple_mixing_rule(cas[i], cas[j], "Lorentz-Berthelot")
    a = AbstractState("HEOS", "&".join(names))
    if len(names) > 1:
        moles = [w / CP.PropsSI("M", n) for n, (_, w) in zip(names, parts)]
        total = sum(moles)
        a.set_mole_fractions([x / total for x in moles])
    return a


def props(a):
    return [a.rhomass(), a.hmass() / 1e3, a.smass() / 1e3, a.cpmass() / 1e3, a.speed_sound()]


def single(a, t, rho_molar, phase):
    """Properties of the bulk composition as one phase at t and rho."""
    a.specify_phase(phase)
    a.update(CoolProp.DmolarT_INPUTS, rho_molar, t)
    v = props(a)
    a.unspecify_phase()
    return v


def rows_of(name, parts, tcrit):
    a, b = state(parts), state(parts)
    rng = random.Random(name)
    low, high = 213.15, min(343.15, 0.97 * tcrit)
    if len(parts) == 1:
        low = max(low, a.Ttriple(), a.Tmin())
    anchor = 273.15 if low <= 273.15 < high else low
    a.update(CoolProp.QT_INPUTS, 0, anchor)
    ref = single(b, anchor, a.saturated_liquid_keyed_output(CoolProp.iDmolar), CoolProp.iphase_liquid)
    out, failed = [], 0
    for k in range(ROWS):
        t = round(low + (high - low) * (k + rng.random()) / ROWS, 3)
        for q, line in ((0, "bubble"), (1, "dew")):
            try:
                a.update(CoolProp.QT_INPUTS, q, t)
                p = a.p()
                rl = a.saturated_liquid_keyed_output(CoolProp.iDmolar)
                rv = a.saturated_vapor_keyed_output(CoolProp.iDmolar)
                ml = a.saturated_liquid_keyed_output(CoolProp.iDmass)
                mv = a.saturated_vapor_keyed_output(CoolProp.iDmass)
                if abs(rl / rv - 1) < 1e-3:
                    raise ValueError("trivial")
                own, phase = (rl, CoolProp.iphase_liquid) if q == 0 else (rv, CoolProp.iphase_gas)
                out.append([line, t, p, *single(b, t, own, phase)[:1], mv if q == 0 else ml, *single(b, t, own, phase)[1:]])
            except ValueError:
                failed += 1
                continue
            off = round(rng.uniform(2, 60 if q else 40), 2)
            try:
                ts = t + off if q else max(t - off, low)
                b.specify_phase(phase)
                b.update(CoolProp.PT_INPUTS, p, ts)
                v = props(b)
                b.unspecify_phase()
                out.append(["gas" if q else "liquid", ts, p, v[0], "", *v[1:]])
            except ValueError:
                b.unspecify_phase()
                failed += 1
    for r in out:
        r[5] -= ref[1]
        r[6] -= ref[2]
    return anchor, out, failed


def tcrit_guess(parts):
    """The critical temperature, for a blend the estimate of its reducing temperature less 2 %."""
    a = state(parts)
    if len(parts) == 1:
        return a.T_critical()
    return 0.98 * a.T_reducing()


def text(x):
    return x if isinstance(x, str) else repr(float(f"{x:.12g}"))


def main(names):
    folder = pathlib.Path("testdata/reference")
    for name, parts in registry():
        if names and name not in names:
            continue
        try:
            anchor, rows, failed = rows_of(name, parts, tcrit_guess(parts))
        except ValueError as e:
            print(name, "left out:", e)
            continue
        if not rows:
            print(name, "left out: no state converged")
            continue
        with open(folder / f"{name}.csv", "w") as f:
            f.write(f"# CoolProp {CoolProp.__version__}, HEOS; anchor {anchor} K; {failed} states did not converge there\n")
            f.write("line,temp_k,pressure_pa,density_kg_m3,incipient_kg_m3,enthalpy_kj_kg,entropy_kj_kgk,cp_kj_kgk,sound_m_s\n")
            for r in rows:
                f.write(",".join(text(x) for x in r) + "\n")
        print(name, len(rows), "rows,", failed, "failed", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
