package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
)

// notices returns the licence texts of everything that is in the script.
func notices() ([]byte, error) {
	var buf bytes.Buffer
	buf.WriteString("The report's charts are drawn by the following open-source software.\n")
	for _, p := range []struct {
		name  string
		texts []string
	}{
		{"echarts", []string{"NOTICE", "LICENSE"}},
		{"zrender", []string{"LICENSE"}},
		{"tslib", []string{"LICENSE.txt", "CopyrightNotice.txt"}},
	} {
		if err := notice(&buf, p.name, p.texts); err != nil {
			return nil, err
		}
	}
	return buf.Bytes(), nil
}

func notice(buf *bytes.Buffer, name string, texts []string) error {
	dir := filepath.Join(source, "node_modules", name)
	b, err := os.ReadFile(filepath.Join(dir, "package.json"))
	if err != nil {
		return err
	}
	var about struct{ Version, License string }
	if err := json.Unmarshal(b, &about); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	fmt.Fprintf(buf, "\n\n==== %s %s (%s) ====\n\n", name, about.Version, about.License)
	for _, t := range texts {
		b, err := os.ReadFile(filepath.Join(dir, t))
		if err != nil {
			return err
		}
		buf.Write(b)
		buf.WriteByte('\n')
	}
	return nil
}
