package register

import (
	"bytes"
	"math"
	"testing"
	"testing/fstest"
	"time"
)

// The rules of precedence are the project's own: a site's own lines, then those
// for every site; of several the one that began last.
func TestTariffByDateAndSite(t *testing.T) {
	r := load(t, map[string]string{
		"systems.csv": "system,site\nA1,Harbour\nB1,Hill\n",
		"tariffs.csv": "site,valid_from,valid_to,price_per_kwh,currency,co2e_kg_per_kwh,source\n" +
			",2024-01-01,2024-12-31,0.20,EUR,0.40,contract\n,2025-01-01,,0.30,eur,0.35,contract\nHarbour,2024-06-01,,0.25,EUR,,own meter\n",
	})
	if len(r.Problems) != 0 {
		t.Fatal(messages(r))
	}
	for _, c := range []struct {
		system, day string
		price       float64
		ok          bool
	}{
		{"B1", "2023-12-31", 0, false}, {"B1", "2024-12-31", 0.20, true}, {"B1", "2025-01-01", 0.30, true},
		{"A1", "2024-05-31", 0, false}, {"A1", "2024-06-01", 0.25, true},
	} {
		at, _ := time.Parse(time.DateOnly, c.day)
		if got, ok := r.Tariff(c.system, at); ok != c.ok || ok && got.Price != c.price {
			t.Errorf("%s on %s costs %v, %v; want %v, %v", c.system, c.day, got.Price, ok, c.price, c.ok)
		}
	}
	var b bytes.Buffer
	if err := WriteTariffs(&b, r.tariffs); err != nil {
		t.Fatal(err)
	}
	again, err := Load(t.Context(), fstest.MapFS{"tariffs.csv": {Data: b.Bytes()}, "systems.csv": {Data: []byte("system,site\nA1,Harbour\nB1,Hill\n")}})
	if err != nil || again.EnergyRows("A1") != r.EnergyRows("A1") || again.EnergyRows("B1") != r.EnergyRows("B1") {
		t.Errorf("written and read again, the tariffs differ: %v\n%s", err, b.String())
	}
}

func TestTariffMistakes(t *testing.T) {
	r := load(t, map[string]string{
		"systems.csv": "system\nA1\n",
		"tariffs.csv": "site,valid_from,valid_to,price_per_kwh,currency,co2e_kg_per_kwh\n" +
			",2025-02-01,2025-01-01,0.20,EUR,0.4\n,2024-03-01,,,,\n,2024-01-01,,0.3,,0.4\n",
	})
	if len(r.Problems) != 3 {
		t.Fatalf("want three problems, got:\n%s", messages(r))
	}
	got, ok := r.Tariff("A1", time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))
	if !ok || !math.IsNaN(got.Price) || got.CO2e != 0.4 {
		t.Errorf("a price without its currency is not taken, its factor is: got %+v, %v", got, ok)
	}
}

func TestBoundaryFromTheNote(t *testing.T) {
	for note, want := range map[string]Boundary{
		"compressor": Compressor, "whole unit": UnitWithFans, "Compressor and fans": UnitWithFans,
		"unit with pumps and controls": WithPumps, "compressor, fans, pumps and back-up heater": WithSupplementary,
		"heat pump without heating rod": UnitWithFans, "compressor, not the fans": Compressor, "": BoundaryUnknown, "meter 3": BoundaryUnknown,
		"unit with fans": UnitWithFans, "with pumps and controls": WithPumps, "with supplementary heat": WithSupplementary,
	} {
		if got := BoundaryOf(note); got != want {
			t.Errorf("%q covers %v, want %v", note, got, want)
		}
	}
}
