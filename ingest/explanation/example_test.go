package explanation_test

import (
	"context"
	"fmt"
	"strings"
	"testing/fstest"

	"rimelog/ingest/explanation"
	"rimelog/ingest/limits"
	"rimelog/ingest/raw"
	"rimelog/pipeline/register"
)

const export = `Logger 17;Cold store
Date;Time;LP [bar];Suction;Liquid
13.03.2025;10:00:00;2,31;-4,2;31,0
13.03.2025;10:00:10;2,30;-4,1;31,1
13.03.2025;10:00:20;----;-4,1;31,1
`

// A file is read on its own evidence; what it leaves open is asked, with the line of the
// register that settles it.
func ExampleOf() {
	src := raw.Source{ReaderAt: strings.NewReader(export), Size: int64(len(export))}
	reg, err := register.Load(context.Background(), fstest.MapFS{"systems.csv": {Data: []byte("system,refrigerant,zone\nCold-1,R134a,UTC\n")}})
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := explanation.Of(context.Background(), src, "Cold-1/export.csv", "", reg, limits.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("belongs to", e.Systems, "delimiter", e.Delimiter, "decimal mark", e.DecimalMark)
	for _, q := range e.OpenQuestions {
		fmt.Println(q.Question, "->", q.RegisterLine)
	}
	l := e.Lines
	fmt.Println(l.All, "lines =", l.Data, "data +", l.Header, "header +", l.Preamble, "preamble +", l.Quarantined, "quarantined")
	// Output:
	// belongs to [Cold-1] delimiter ; decimal mark ,
	// nothing says whether "LP [bar]" is gauge or absolute; if it is gauge -> Cold-1,,LP [bar],suction_pressure,,,gauge,,,,
	// 5 lines = 3 data + 1 header + 1 preamble + 0 quarantined
}
