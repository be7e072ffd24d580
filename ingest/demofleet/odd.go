package demofleet

import (
	"io"
	"path"
	"time"

	"rimelog/ingest/demofleet/truth"
)

// odd writes the uploads that something is wrong with, so that the reader has
// something to be honest about.
func (g *generator) odd() error {
	if !g.fleet.options.Mix.OddFiles {
		return nil
	}
	m := g.fleet.machines[0]
	for _, o := range []struct {
		path, system, trap string
		write              func(io.Writer) error
	}{
		{"ZZZ-CR9/2024-06-11-PQ1.csv", "", "its system is missing in the register", g.stranger(m)},
		{"inbox/log0042.csv", "", "nothing says which system it belongs to", g.stranger(m)},
		{m.truth.ID + "/2024-03-19-broken.csv", "", "not a table: the card was damaged", damaged},
		{m.truth.ID + "/readings-by-hand.csv", m.truth.ID, "day and month cannot be told apart", byHand},
	} {
		if err := g.write(path.Join("uploads", o.path), o.write); err != nil {
			return err
		}
		g.truth.Files = append(g.truth.Files, truth.File{Path: o.path, System: o.system, Trap: o.trap})
	}
	return nil
}

// stranger is a sound log that no system of the register claims.
func (g *generator) stranger(m *machine) func(io.Writer) error {
	return func(w io.Writer) error {
		v := visit{start: g.fleet.options.Start.Add(30 * time.Hour), length: 40 * time.Minute, kit: g.fleet.kits[0]}
		v.channels = []quantity{suctionPressure, dischargePressure, suctionTemp, liquidTemp}
		rec, err := newRecorder(m, v, chance(g.fleet.options.Seed, "stranger"), nil, nil, nil)
		if err != nil {
			return err
		}
		_, err = rec.write(w)
		return err
	}
}

// damaged is what a broken memory card gives back.
func damaged(w io.Writer) error {
	r := chance(0, "damaged")
	b := make([]byte, 3000)
	for i := range b {
		b[i] = byte(r.IntN(256))
	}
	_, err := w.Write(b)
	return err
}

// byHand is a list somebody typed, with dates that may be read in two ways.
func byHand(w io.Writer) error {
	_, err := io.WriteString(w, "Date,Time,Suction pressure (bar(g)),Suction temperature (°C)\n"+
		"03/04/2024,10:15,2.1,6.5\n03/04/2024,10:20,2.1,6.8\n04/04/2024,09:40,2.0,6.1\n")
	return err
}
