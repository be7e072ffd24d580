package main

import (
	"context"
	"flag"
	"fmt"
	"runtime"
	"runtime/debug"
)

func versionCommand() command {
	return command{
		name:  "version",
		short: "prints which build this is",
		long: `The revision of the source it was built from, the Go release, the system and the processor. None of
it is in any table, page or name: the same uploads and register give the same bytes with any build of the same steps.`,
		setup: func(*flag.FlagSet) action {
			return func(_ context.Context, out *console, _ []string) error {
				b := thisBuild()
				if out.json {
					out.print(b)
					return nil
				}
				fmt.Fprintf(out.out, "rimelog %s, %s, %s\n", b.Revision, b.Go, b.Platform)
				return nil
			}
		},
	}
}

// A build is what the compiler kept of the program's making.
type build struct {
	Revision string `json:"revision"` // of the source; "unknown" outside a repository
	Changed  bool   `json:"changed"`  // the source had changes that are in no revision
	Go       string `json:"go"`
	Platform string `json:"platform"`
}

func thisBuild() build {
	b := build{Revision: "unknown", Go: runtime.Version(), Platform: runtime.GOOS + "/" + runtime.GOARCH}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return b
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.Revision = s.Value
		case "vcs.modified":
			b.Changed = s.Value == "true"
		}
	}
	return b
}
