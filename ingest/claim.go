package ingest

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"rimelog/pipeline/register"
)

// claim tells which systems an upload belongs to by its path below uploads/: the
// one whose ID is the name of the nearest folder it lies in, or with which its name
// begins, and those whose channel rows name it by a pattern.
func claim(reg *register.Register, name string) []string {
	systems := byPlace(reg, name)
	for _, id := range reg.Claimants(name) {
		if !slices.Contains(systems, id) {
			systems = append(systems, id)
		}
	}
	return systems
}

func byPlace(reg *register.Register, name string) []string {
	folders := strings.Split(path.Dir(name), "/")
	for _, folder := range slices.Backward(folders) {
		if s, ok := reg.System(folder); ok {
			return []string{s.ID}
		}
	}
	longest := ""
	for _, s := range reg.Systems {
		if len(s.ID) > len(longest) && beginsWith(path.Base(name), s.ID) {
			longest = s.ID
		}
	}
	if longest == "" {
		return nil
	}
	return []string{longest}
}

// beginsWith tells whether a file's name is an ID, or begins with one and a sign.
func beginsWith(file, id string) bool {
	if len(file) < len(id) || !strings.EqualFold(file[:len(id)], id) {
		return false
	}
	rest := file[len(id):]
	return rest == "" || !isDigit(rest[0]) && !letter(rest[0]) && rest[0] < 0x80
}

// unclaimed says what to do with a file that no system claims.
func unclaimed(name string, f Facts) string {
	s := "no system claims it; put it into a folder named like its system's ID"
	if f.System != "" {
		s += fmt.Sprintf(" (the file itself says %q)", f.System)
	}
	return s + ", or name it in the file column of register/channels.csv: " + channelLine(register.Channel{
		System: "SYSTEM", File: name, Column: f.column(), Channel: register.Extra,
	})
}
