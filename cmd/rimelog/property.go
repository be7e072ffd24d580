package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"strings"

	"rimelog/thermo"
)

func propertyCommand() command {
	return command{
		name: "property", takes: "[REFRIGERANT]",
		short: "gives a refrigerant's properties: a state, a saturation table, a CSV of states",
		long:  propertyHelp,
		setup: func(fs *flag.FlagSet) action {
			q := newQuestion()
			q.flags(fs)
			return q.answer
		},
	}
}

const propertyHelp = `One state: give -pressure-kpa or -temp-c for saturation, both for gas or liquid.

  rimelog property R448A -pressure-kpa 600            bubble and dew point at 600 kPa
  rimelog property R290 -temp-c -10                   pressures at -10 °C
  rimelog property R134a -pressure-kpa 300 -temp-c 20 superheated gas

A saturation table over temperature, when neither is given:

  rimelog property R454B -from-c -30 -to-c 50 -step-k 10

Many states: -batch reads a CSV with a header and writes it to standard output with the
results behind its own columns. Its columns say what is asked, in any order and among others:

  refrigerant,pressure_kpa          -> bubble_temp_c,dew_temp_c, both densities and enthalpies
  refrigerant,temp_c                -> bubble_pressure_kpa,dew_pressure_kpa, the same
  refrigerant,pressure_kpa,temp_c   -> density, enthalpy, entropy, cp and speed of sound

The last column, error, says why a row has no result; the rows after it go on, and the exit
code is then 3. Columns may be separated by comma, semicolon or tab; the output has the same.

Pressures are absolute: add the air pressure, about 101.3 kPa at sea level, to a gauge
reading. Superheat counts from the dew temperature, subcooling from the bubble temperature.
Enthalpy and entropy mean something only as differences within one datum:
  iir     200 kJ/kg and 1 kJ/(kg K) for bubble liquid at 0 °C
  ashrae  0 and 0 for bubble liquid at -40 °C
  nbp     0 and 0 for bubble liquid at 101.325 kPa
Where a refrigerant has no such liquid the nearest one stands for it: that at 101.325 kPa if it is
too volatile (R14), the coldest if it would be solid (R744 with nbp).

With -json a state is one object under the names above, a table one with the list rows.
` + "`rimelog refrigerants`" + ` lists the names, which may be spelled freely: r-448a, 448A, propane.`

// A question is what the flags of property ask for.
type question struct {
	pressure, temp number // kPa absolute, °C
	from, to, step number // °C, °C, K
	batch          string // path, "-" for standard input
	exact          bool
	decimalComma   bool
	datum          datum
}

func newQuestion() *question {
	none := number{value: math.NaN()}
	return &question{pressure: none, temp: none, from: number{value: -40}, to: number{value: 60}, step: number{value: 5}}
}

func (q *question) flags(fs *flag.FlagSet) {
	fs.Var(&q.pressure, "pressure-kpa", "absolute pressure, `kPa`")
	fs.Var(&q.temp, "temp-c", "temperature, `°C`")
	fs.Var(&q.from, "from-c", "first temperature of a table, `°C`")
	fs.Var(&q.to, "to-c", "last temperature of a table, `°C`")
	fs.Var(&q.step, "step-k", "step of a table, `K`")
	fs.StringVar(&q.batch, "batch", "", "read states from this CSV `file`, - for standard input")
	fs.BoolVar(&q.exact, "exact", false, "-batch from the equations of state themselves, as single states and tables are, not from the fits to them: 20 times slower, the last digits better")
	fs.BoolVar(&q.decimalComma, "decimal-comma", false, "numbers of -batch have a decimal comma, in and out")
	fs.Var(&q.datum, "datum", "where enthalpy and entropy are counted from: `iir`, ashrae or nbp")
}

// answer does what the flags ask for.
func (q *question) answer(ctx context.Context, out *console, operands []string) error {
	if err := q.check(out, operands); err != nil {
		return err
	}
	if q.batch != "" {
		return q.answerBatch(ctx, out)
	}
	r, err := thermo.Lookup(strings.Join(operands, " "))
	if err != nil {
		return usagef("%s", sentence(err, nil))
	}
	r = r.WithDatum(q.datum.Datum)
	if q.pressure.given || q.temp.given {
		return q.answerState(out, r)
	}
	return q.answerTable(ctx, out, r)
}

// check refuses flags that contradict each other.
func (q *question) check(out *console, operands []string) error {
	state := q.pressure.given || q.temp.given
	table := q.from.given || q.to.given || q.step.given
	switch {
	case q.batch != "" && (state || table || len(operands) > 0):
		return usagef("-batch takes refrigerants, pressures and temperatures from its file; leave the others out")
	case q.batch != "" && out.json:
		return usagef("-batch writes CSV, -json something else; give one of them")
	case q.batch == "" && len(operands) == 0:
		return usagef("which refrigerant? Write for example `rimelog property R134a -temp-c 0`; `rimelog refrigerants` lists them")
	case state && table:
		return usagef("-from-c, -to-c and -step-k belong to a table, -pressure-kpa and -temp-c to one state; give one kind")
	case q.decimalComma && q.batch == "":
		return usagef("-decimal-comma belongs to -batch; write numbers here with a decimal point")
	case !(q.step.value > 0) || !(q.to.value >= q.from.value):
		return usagef("-from-c %g -to-c %g -step-k %g: want a step above 0 K and -to-c not below -from-c", q.from.value, q.to.value, q.step.value)
	case (q.to.value-q.from.value)/q.step.value > mostRows:
		return usagef("-from-c %g -to-c %g -step-k %g: that is more than %d rows; widen the step, or use -batch", q.from.value, q.to.value, q.step.value, mostRows)
	}
	return nil
}

// mostRows is how long a table for people may be.
const mostRows = 10000

// A number is a flag whose absence matters.
type number struct {
	value float64 // NaN when there is no default
	given bool
}

func (n *number) String() string {
	if math.IsNaN(n.value) {
		return ""
	}
	return fmt.Sprint(n.value)
}

func (n *number) Set(text string) (err error) {
	n.value, err = readNumber(text, '.')
	n.given = true
	return err
}

// A datum is the flag that names one.
type datum struct{ thermo.Datum }

func (d *datum) String() string { return strings.ToLower(d.Datum.String()) }

func (d *datum) Set(text string) error {
	known, err := thermo.ParseDatum(text)
	if err != nil {
		return errors.New("want iir, ashrae or nbp")
	}
	d.Datum = known
	return nil
}
