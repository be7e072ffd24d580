package register

import (
	"path"
	"strings"
)

// matches tells whether a file pattern fits a path, without regard to case. In a
// pattern * and ? stand for parts of one name, and ** for any number of folders.
// A pattern without a slash is for the file's name, wherever it lies; an empty one
// fits every path.
func matches(pattern, upload string) bool { return pathOf(upload).fits(pattern) }

// An uploadPath is the names of an upload's path, in lower case: thousands of files are held
// against a few patterns each.
type uploadPath []string

func pathOf(upload string) uploadPath { return strings.Split(strings.ToLower(upload), "/") }

// fits tells whether a pattern fits the path.
func (p uploadPath) fits(pattern string) bool {
	switch {
	case pattern == "":
		return true
	case !strings.Contains(pattern, "/"):
		return matchNames([]string{strings.ToLower(pattern)}, p[len(p)-1:])
	}
	return matchNames(strings.Split(strings.ToLower(pattern), "/"), p)
}

func matchNames(pattern, names []string) bool {
	switch {
	case len(pattern) == 0:
		return len(names) == 0
	case pattern[0] == "**":
		return matchNames(pattern[1:], names) || len(names) > 0 && matchNames(pattern, names[1:])
	case len(names) == 0:
		return false
	}
	ok, err := path.Match(pattern[0], names[0])
	return ok && err == nil && matchNames(pattern[1:], names[1:])
}

// exactness orders patterns: the more of a path one spells out, the higher. Two
// equally long ones are told apart by their text where they are sorted.
func exactness(pattern string) int {
	return len(pattern) - strings.Count(pattern, "*") - strings.Count(pattern, "?")
}
