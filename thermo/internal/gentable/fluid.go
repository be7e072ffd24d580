package main

import (
	"bytes"
	"fmt"
	"math"
)

type fluid struct {
	Name, CAS string
	EOS       struct {
		Bibtex  string `json:"BibTeX_EOS"`
		States  map[string]state
		TMax    float64 `json:"T_max"`
		TTriple float64 `json:"Ttriple"`
		PMax    float64 `json:"p_max"`
		Omega   float64 `json:"acentric"`
		R       float64 `json:"gas_constant"`
		M       float64 `json:"molar_mass"`
		Pseudo  bool    `json:"pseudo_pure"`
		Alpha0  []term
		AlphaR  []term
		Points  []map[string]float64 `json:"check_points"`
	}
	States map[string]state
}

type state struct {
	T   float64
	P   float64 `json:"p"`
	Rho float64 `json:"rhomolar"`
	H   float64 `json:"hmolar"`
	S   float64 `json:"smolar"`
}

// term is one block of either part. The keys a kind uses are set; the JSON
// names differ only in case between some of them, hence the raw map.
type term map[string]any

func (t term) kind() string { return t["type"].(string) }

func (t term) num(key string) float64 {
	x, _ := t[key].(float64)
	return x
}

func (t term) list(key string) []float64 {
	raw, _ := t[key].([]any)
	v := make([]float64, len(raw))
	for i := range raw {
		v[i] = raw[i].(float64)
	}
	return v
}

func writeFluids(in *source) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("# Equations of state of refrigerants, written by gentable. Sources: cite lines and ATTRIBUTION.md.\n" +
		"# gas R M; reducing T rho; critical T p rho; range Tmin Tmax pmax; start rho(liquid, Tmin)\n" +
		"# ideal: lead a1 a2; logtau a; ipower n t; planck n t\n" +
		"# residual: power n d t l g; lemmon n d t l m; gauss n d t eta eps beta gamma; gaob ... b; nonanalytic n a b beta A B C D\n")
	for _, name := range in.order {
		f := in.fluids[name]
		if err := writeFluid(&b, name, &f); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	return b.Bytes(), nil
}

func writeFluid(b *bytes.Buffer, name string, f *fluid) error {
	cite, ok := citations[f.EOS.Bibtex]
	if !ok {
		return fmt.Errorf("no citation for %s", f.EOS.Bibtex)
	}
	e, red, crit := &f.EOS, f.EOS.States["reducing"], f.States["critical"]
	low := e.TTriple
	start := e.States["sat_min_liquid"]
	fmt.Fprintf(b, "fluid %s\ncas %s\ncite %s\n", name, f.CAS, cite)
	if e.Pseudo {
		b.WriteString("pseudo\n")
	}
	line(b, "gas", e.R, e.M)
	line(b, "reducing", red.T, red.Rho)
	line(b, "critical", crit.T, crit.P, crit.Rho)
	line(b, "range", max(low, start.T), e.TMax, e.PMax)
	line(b, "acentric", e.Omega)
	line(b, "start", start.Rho)
	if err := writeIdeal(b, e.Alpha0); err != nil {
		return err
	}
	for _, t := range e.AlphaR {
		if err := writeResidual(b, t); err != nil {
			return err
		}
	}
	return nil
}

// writeResidual writes one block of residual terms.
func writeResidual(b *bytes.Buffer, t term) error {
	n, d, tt, l := t.list("n"), t.list("d"), t.list("t"), t.list("l")
	eta, eps, beta, gamma := t.list("eta"), t.list("epsilon"), t.list("beta"), t.list("gamma")
	for i := range n {
		switch t.kind() {
		case "ResidualHelmholtzPower":
			line(b, "power", n[i], d[i], tt[i], l[i], 1)
		case "ResidualHelmholtzExponential":
			line(b, "power", n[i], d[i], tt[i], l[i], t.list("g")[i])
		case "ResidualHelmholtzLemmon2005":
			line(b, "lemmon", n[i], d[i], tt[i], l[i], t.list("m")[i])
		case "ResidualHelmholtzGaussian":
			line(b, "gauss", n[i], d[i], tt[i], eta[i], eps[i], beta[i], gamma[i])
		case "ResidualHelmholtzGaoB":
			line(b, "gaob", n[i], d[i], tt[i], eta[i], eps[i], beta[i], gamma[i], t.list("b")[i])
		case "ResidualHelmholtzNonAnalytic":
			line(b, "nonanalytic", n[i], t.list("a")[i], t.list("b")[i], beta[i],
				t.list("A")[i], t.list("B")[i], t.list("C")[i], t.list("D")[i])
		default:
			return fmt.Errorf("residual term %s is unknown", t.kind())
		}
	}
	return nil
}

// ideal collects the ideal-gas part in its closed form.
type ideal struct {
	a1, a2, logTau float64
	power, planck  [][2]float64
}

func writeIdeal(b *bytes.Buffer, terms []term) error {
	var id ideal
	for _, t := range terms {
		if err := id.add(t); err != nil {
			return err
		}
	}
	line(b, "lead", id.a1, id.a2)
	line(b, "logtau", id.logTau)
	for _, k := range id.power {
		line(b, "ipower", k[0], k[1])
	}
	for _, k := range id.planck {
		line(b, "planck", k[0], k[1])
	}
	return nil
}

func (id *ideal) add(t term) error {
	n, e := t.list("n"), t.list("t")
	switch t.kind() {
	case "IdealGasHelmholtzLead", "IdealGasHelmholtzEnthalpyEntropyOffset":
		id.a1 += t.num("a1")
		id.a2 += t.num("a2")
	case "IdealGasHelmholtzLogTau":
		id.logTau += t.num("a")
	case "IdealGasHelmholtzPower":
		for i := range n {
			id.power = append(id.power, [2]float64{n[i], e[i]})
		}
	case "IdealGasHelmholtzPlanckEinstein":
		for i := range n {
			id.planck = append(id.planck, [2]float64{n[i], e[i]})
		}
	case "IdealGasHelmholtzPlanckEinsteinFunctionT":
		v := t.list("v")
		for i := range n {
			id.planck = append(id.planck, [2]float64{n[i], v[i] / t.num("Tcrit")})
		}
	case "IdealGasHelmholtzCP0Constant":
		return id.heatCapacity(t.num("cp_over_R"), 0, t.num("Tc"), t.num("T0"))
	case "IdealGasHelmholtzCP0PolyT":
		for i, c := range t.list("c") {
			if err := id.heatCapacity(c, e[i], t.num("Tc"), t.num("T0")); err != nil {
				return err
			}
		}
	default:
		return fmt.Errorf("ideal-gas term %s is unknown", t.kind())
	}
	return nil
}

// heatCapacity adds cp0/R = c*T^e, integrated twice from t0, with T = tc/tau:
// alpha0 = h0/(RT) - s0/R up to the constants of the datum.
func (id *ideal) heatCapacity(c, e, tc, t0 float64) error {
	switch e {
	case -1:
		return fmt.Errorf("a heat capacity proportional to 1/T is not handled")
	case 0:
		id.logTau += c
		id.a1 += c - c*math.Log(tc/t0)
		id.a2 -= c * t0 / tc
	default:
		id.power = append(id.power, [2]float64{-c * math.Pow(tc, e) / (e * (e + 1)), -e})
		id.a1 += c * math.Pow(t0, e) / e
		id.a2 -= c * math.Pow(t0, e+1) / (tc * (e + 1))
	}
	return nil
}
