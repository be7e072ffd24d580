package register

import (
	"path"
	"strings"
)

// matches tells whether a file pattern fits a path, without regard to case. In a
// pattern * and ? stand for parts of one name, and ** for any number of folders.
// A pattern without a slash is for the file's name, wherever it lies; an empty one
// fits every path.
func matches(pattern, upload string) bool { return pathOf(upload).fits(patternOf(pattern)) }

// An uploadPath is the names of an upload's path, in lower case; a filePattern those of a
// pattern. Thousands of files are held against a few patterns.
type (
	uploadPath  []string
	filePattern []string
)

func pathOf(upload string) uploadPath { return strings.Split(strings.ToLower(upload), "/") }

func patternOf(text string) filePattern {
	if text == "" {
		return nil
	}
	return strings.Split(strings.ToLower(text), "/")
}

// fits tells whether a pattern fits the path.
func (p uploadPath) fits(pattern filePattern) bool {
	switch len(pattern) {
	case 0:
		return true
	case 1:
		return matchNames(pattern, p[len(p)-1:])
	}
	return matchNames(pattern, p)
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
