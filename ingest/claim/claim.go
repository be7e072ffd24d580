package claim

import (
	"fmt"
	"slices"
	"strings"

	"rimelog/ingest/look"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
)

// Systems tells which systems an upload belongs to by its path below uploads/: the
// one whose ID is the name of the nearest folder it lies in, or with which its name
// begins, and those whose channel rows name it by a pattern. Where none does, the
// one that the file's own preamble names.
func Systems(reg *register.Register, name string, f look.Facts) []string {
	systems := byPlace(reg, name)
	for _, id := range reg.Claimants(name) {
		if !slices.Contains(systems, id) {
			systems = append(systems, id)
		}
	}
	if s, ok := reg.System(f.System); ok && len(systems) == 0 {
		return []string{s.ID}
	}
	return systems
}

func byPlace(reg *register.Register, name string) []string {
	elements := strings.Split(name, "/")
	for _, folder := range slices.Backward(elements[:len(elements)-1]) {
		if s, ok := reg.System(folder); ok {
			return []string{s.ID}
		}
	}
	for i, element := range slices.Backward(elements) {
		if i == len(elements)-1 || raw.IsZip(element) {
			if id := byName(reg, element); id != "" {
				return []string{id}
			}
		}
	}
	return nil
}

// byName is the longest ID that the name of a file or archive begins with.
func byName(reg *register.Register, file string) (id string) {
	for _, s := range reg.Systems {
		if len(s.ID) > len(id) && beginsWith(file, s.ID) {
			id = s.ID
		}
	}
	return id
}

// beginsWith tells whether a file's name is an ID, or begins with one and a sign.
func beginsWith(file, id string) bool {
	if len(file) < len(id) || !strings.EqualFold(file[:len(id)], id) {
		return false
	}
	rest := file[len(id):]
	return rest == "" || !scan.IsDigit(rest[0]) && !scan.IsLetter(rest[0]) && rest[0] < 0x80
}

// Unclaimed says what to do with a file that no system claims, and which it looks like.
func Unclaimed(name string, f look.Facts, near []Likeness) string {
	s := "no system claims it; " + nearestText(near) + "put it into a folder named like its system's ID"
	if f.System != "" {
		s += fmt.Sprintf(" (the file itself says %q)", f.System)
	}
	id := "SYSTEM"
	if len(near) > 0 && near[0].score >= sureLikeness {
		id = near[0].system
	}
	return s + ", or name it in the file column of register/channels.csv: " + register.ChannelLine(register.Channel{
		System: id, File: name, Column: f.Column(), Channel: register.Extra,
	})
}
