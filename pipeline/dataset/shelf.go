package dataset

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A shelf is where briefs are kept together: those of a half-year, since each file costs as
// much to begin as some dozen briefs to read, and the newest is written anew every night. Its
// file has three lists of packed rows: texts, briefs and parts. Where the rows get another
// form, files of before cannot be read, and are made anew.
type shelf struct{ system, half string }

func (s shelf) name() string { return briefs + "/" + s.system + "/" + s.half }

// shelfOf is where a system's brief is kept, by the last of its times.
func shelfOf(system string, last int64) shelf {
	if last == math.MaxInt64 {
		return shelf{system, "undated"}
	}
	return shelf{system, halfYear(last)}
}

// halfYear names the half-year in which a time lies.
func halfYear(micros int64) string {
	t := time.UnixMicro(micros).UTC()
	return fmt.Sprintf("%d-H%d", t.Year(), 1+(t.Month()-1)/6)
}

// A keptText is decisions that many briefs share.
type keptText struct {
	Text string `col:"decisions" doc:"as JSON"`
}

// A keptBrief is a brief without its parts and its accounts, which are kept as those of a row
// of table uploads.
type keptBrief struct {
	Step      string `col:"step" doc:"that read it"`
	Decisions int64  `col:"decisions" doc:"which of the texts"`
	Parts     int64  `col:"parts" doc:"how many follow those of the brief before"`
	First     int64  `col:"first" doc:"microseconds since 1970"`
	Last      int64  `col:"last" doc:"microseconds since 1970"`
}

// A keptPart is a PartFile.
type keptPart struct {
	System string `col:"system" doc:"whose rows it has"`
	Table  string `col:"table" doc:"of its rows"`
	Name   string `col:"name" doc:"in the workspace"`
	SHA256 string `col:"sha256" doc:"of its bytes"`
	Rows   int64  `col:"rows" doc:"how many"`
	Bytes  int64  `col:"bytes" doc:"how many"`
	Months string `col:"months" doc:"that it has rows of, a line each"`
}

// packed puts briefs into the one form they have in a file.
func packed(list []*briefed) []byte {
	slices.SortFunc(list, func(a, b *briefed) int {
		return cmp.Or(cmp.Compare(a.Upload, b.Upload), cmp.Compare(a.Reading, b.Reading))
	})
	var texts []keptText
	var accounts []table.Upload
	var briefs []keptBrief
	var parts []keptPart
	at := map[string]int{}
	for _, b := range list {
		text := string(b.Decisions)
		if _, ok := at[text]; !ok {
			at[text], texts = len(texts), append(texts, keptText{text})
		}
		u := table.Upload{Upload: b.Upload, Reading: b.Reading, Systems: strings.Join(b.Systems, "\n")}
		SetAccounts(&u, b.Lines, b.Values)
		accounts = append(accounts, u)
		briefs = append(briefs, keptBrief{b.Step, int64(at[text]), int64(len(b.Parts)), b.First, b.Last})
		for _, p := range b.Parts {
			parts = append(parts, keptPart{p.System, p.Table, p.Name, p.SHA256, p.Rows, p.Bytes, strings.Join(p.Months, "\n")})
		}
	}
	return frame.Pack(frame.Pack(frame.Pack(frame.Pack(nil, texts), accounts), briefs), parts)
}

// take files the briefs of a system that a file has.
func (b *briefing) take(system string, file []byte) error {
	texts, file, err := frame.Unpack[keptText](file)
	if err != nil {
		return err
	}
	accounts, file, err := frame.Unpack[table.Upload](file)
	if err != nil {
		return err
	}
	kept, file, err := frame.Unpack[keptBrief](file)
	if err != nil {
		return err
	}
	parts, _, err := frame.Unpack[keptPart](file)
	if err != nil || len(accounts) != len(kept) {
		return cmp.Or(err, errShelf)
	}
	shared := make([]json.RawMessage, len(texts))
	for i, t := range texts {
		shared[i] = b.shared(json.RawMessage(t.Text))
	}
	files, list, said := partFiles(parts), make([]briefed, len(kept)), lines{}
	for i, k := range kept {
		if k.Decisions < 0 || k.Decisions >= int64(len(shared)) || k.Parts < 0 || k.Parts > int64(len(files)) {
			return errShelf
		}
		u, one := accounts[i], &list[i]
		one.Upload, one.Reading, one.Step, one.Systems = u.Upload, u.Reading, k.Step, said.of(u.Systems)
		one.Lines, one.Values = Accounts(u)
		one.Decisions, one.First, one.Last = shared[k.Decisions], k.First, k.Last
		one.Parts, files = files[:k.Parts:k.Parts], files[k.Parts:]
		one.shelf = shelfOf(system, one.Last)
	}
	for i := range list {
		b.known[list[i].Reading] = &list[i]
	}
	return nil
}

// errShelf says that a file's lists do not belong together.
var errShelf = errors.New("its lists do not belong together")

func partFiles(kept []keptPart) []PartFile {
	out, said := make([]PartFile, len(kept)), lines{}
	for i, p := range kept {
		out[i] = PartFile{p.System, p.Table, p.Name, p.SHA256, p.Rows, p.Bytes, said.of(p.Months)}
	}
	return out
}

// lines takes texts apart at the ends of their lines; one that follows itself only once.
type lines struct {
	text string
	list []string
}

func (l *lines) of(text string) []string {
	switch text {
	case "":
		return nil
	case l.text:
	default:
		l.text, l.list = text, strings.Split(text, "\n")
	}
	return l.list
}
