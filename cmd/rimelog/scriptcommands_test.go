package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// scriptCommands are what the scripts may use besides the program itself.
var scriptCommands = map[string]func(ts *testscript.TestScript, neg bool, args []string){
	"visit": visitCommand, "code": codeCommand, "raised": raisedCommand,
}

// codeCommand runs the program and checks its exit code; stdout and stderr may be asked
// about afterwards:
//
//	code NUMBER rimelog ARGUMENT...
func codeCommand(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) < 2 {
		ts.Fatalf("usage: code NUMBER rimelog ARGUMENT...")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if fmt.Sprint(got) != args[0] {
		ts.Fatalf("exit code %d, want %s", got, args[0])
	}
}

// raisedCommand writes the findings of a workspace that were raised up to a day, a line
// for each:
//
//	raised WORKSPACE DAY FILE
func raisedCommand(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: raised WORKSPACE DAY FILE")
	}
	day, err := time.Parse(time.DateOnly, args[1])
	ts.Check(err)
	dir, err := store.OpenDir(ts.MkAbs(args[0]))
	ts.Check(err)
	f, err := dataset.New(dir).ReadTable(context.Background(), table.Findings().Path("", ""))
	ts.Check(err)
	rows, err := frame.Rows[table.Finding](f)
	ts.Check(err)
	var lines []string
	for _, r := range rows {
		if r.RaisedOn.Before(day.AddDate(0, 0, 1)) {
			lines = append(lines, fmt.Sprintf("%s raised on %s as %s by %.3f K, cleared before: %v\n", r.ID, r.RaisedOn.Format(time.RFC3339), r.Kind, r.RaisedSize, !r.ClearedOn.IsZero() && r.ClearedOn.Before(day.AddDate(0, 0, 1))))
		}
	}
	slices.Sort(lines)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(strings.Join(lines, "")), 0o644))
}

// visitCommand checks the one visit of a system in the workspace the script is in:
//
//	visit SYSTEM USE [COLUMN VALUE TOLERANCE]...
func visitCommand(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) < 2 || len(args)%3 != 2 {
		ts.Fatalf("usage: visit SYSTEM USE [COLUMN VALUE TOLERANCE]...")
	}
	visits := readVisits(ts, args[0])
	if len(visits) != 1 {
		ts.Fatalf("%s has %d visits, want 1", args[0], len(visits))
	}
	if visits[0].Use != args[1] {
		ts.Fatalf("the visit's use is %q (%s), want %q", visits[0].Use, visits[0].Reason, args[1])
	}
	for i := 2; i < len(args); i += 3 {
		checkColumn(ts, visits[0], args[i], args[i+1], args[i+2])
	}
}

func readVisits(ts *testscript.TestScript, system string) []table.Visit {
	dir, err := store.OpenDir(ts.MkAbs("."))
	ts.Check(err)
	f, err := dataset.New(dir).ReadTable(context.Background(), table.Visits().Path(system, ""))
	ts.Check(err)
	visits, err := frame.Rows[table.Visit](f)
	ts.Check(err)
	return visits
}

func checkColumn(ts *testscript.TestScript, v table.Visit, column, value, tolerance string) {
	want, err := strconv.ParseFloat(value, 64)
	ts.Check(err)
	tol, err := strconv.ParseFloat(tolerance, 64)
	ts.Check(err)
	i := table.Visits().Index(column)
	if i < 0 {
		ts.Fatalf("visits have no column %s", column)
	}
	got := reflect.ValueOf(v).Field(i).Float()
	if !(math.Abs(got-want) <= tol) {
		ts.Fatalf("%s is %.3f, want %s within %s", column, got, value, tolerance)
	}
}
