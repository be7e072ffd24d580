package main

import (
	"context"
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// update rewrites the expected outputs inside the scripts.
var update = flag.Bool("update", false, "rewrite the expected output of the script tests")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"rimelog": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs the program as a user does, on the scenes in testdata/script.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script", UpdateScripts: *update, RequireExplicitExec: true, RequireUniqueNames: true,
		Cmds: scriptCommands,
	})
}
