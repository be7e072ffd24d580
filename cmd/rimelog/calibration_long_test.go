//go:build long

package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// manyFaults is a fleet with many faults of every kind, so that few systems tell.
const manyFaults = `{"faults": {"leak": {"share": 0.12}, "condenser_fouling": {"share": 0.28}, "evaporator_fouling": {"share": 0.24}, "restriction": {"share": 0.1},
"compressor_wear": {"share": 0.12, "per_year": [0.08, 0.2]}, "foreign_gas": {"share": 0.08, "sudden": [0.05, 0.3]}, "overcharge": {"share": 0.03}}, "visits": {"weeks": [4, 5]}}`

// A proportion is a share in what score prints.
type proportion struct {
	N                int
	Share, Low, High float64
}

// Of findings given some probability as many are right as it says, by tenths: none is off by
// what happens to one of ten tenths in twenty fleets. The truth is the simulator's.
func TestProbabilitiesOfCausesAreKept(t *testing.T) {
	mix := filepath.Join(t.TempDir(), "mix.json")
	if err := os.WriteFile(mix, []byte(manyFaults), 0o644); err != nil {
		t.Fatal(err)
	}
	fleet := filepath.Join(t.TempDir(), "fleet")
	said(t, "simulate", "-out", fleet, "-systems", "40", "-years", "3", "-logging", "visits", "-seed", "80411", "-mix", mix)
	said(t, "run", "-workspace", filepath.Join(fleet, "workspace"))
	var got struct {
		Cause struct {
			Right  proportion
			Tenths []struct {
				Mean  float64
				Right proportion
			}
		}
	}
	if err := json.Unmarshal(said(t, "score", "-json", fleet), &got); err != nil {
		t.Fatal(err)
	}
	if got.Cause.Right.N < 15 {
		t.Errorf("%d findings, want enough to tell", got.Cause.Right.N)
	}
	for _, x := range got.Cause.Tenths {
		if hits := int(math.Round(x.Right.Share * float64(x.Right.N))); rare(hits, x.Right.N, x.Mean) {
			t.Errorf("%d findings of probability %.2f were right at %.2f (%.2f to %.2f)", x.Right.N, x.Mean, x.Right.Share, x.Right.Low, x.Right.High)
		}
	}
}

// rare tells whether so few or so many hits of n are rarer than one in 400, by the binomial
// distribution.
func rare(hits, n int, p float64) bool {
	few, many := 0.0, 0.0
	for k := range n + 1 {
		of, _ := math.Lgamma(float64(n + 1))
		in, _ := math.Lgamma(float64(k + 1))
		out, _ := math.Lgamma(float64(n - k + 1))
		chance := math.Exp(of - in - out + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
		if k <= hits {
			few += chance
		}
		if k >= hits {
			many += chance
		}
	}
	return min(few, many) < 1./400
}

// Three tails of four, and none of ten at a half: 5/16 and 1/1024.
func TestRareByTheBinomialDistribution(t *testing.T) {
	if rare(3, 4, 0.5) || !rare(0, 10, 0.5) {
		t.Error("3 of 4 at a half is rare, or 0 of 10 is not")
	}
}

// said runs the program and returns what it prints.
func said(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, errOut bytes.Buffer
	if code := run(t.Context(), args, &out, &errOut); code != exitDone && code != exitLeftOut {
		t.Fatalf("%v: exit code %d: %s", args, code, errOut.String())
	}
	return out.Bytes()
}
