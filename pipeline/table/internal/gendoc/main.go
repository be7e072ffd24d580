// Command gendoc writes the list of tables into the package comment of
// pipeline/table, from the tags of its structs. It keeps what stands above the
// list. Run by go generate in that package's folder.
package main

import (
	"bytes"
	"fmt"
	"os"

	"rimelog/pipeline/table"
)

// docFile holds the package comment.
const docFile = "doc.go"

func main() {
	if err := update(docFile); err != nil {
		fmt.Fprintln(os.Stderr, "gendoc:", err)
		os.Exit(1)
	}
}

// update puts the list of tables as it is now into the file.
func update(name string) error {
	old, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	byHand, _, found := bytes.Cut(old, []byte("// # Tables\n"))
	if !found {
		return fmt.Errorf("%s has no heading \"# Tables\", after which the list goes", name)
	}
	b := bytes.NewBuffer(byHand)
	if err := table.WriteComment(b, table.All()); err != nil {
		return err
	}
	b.WriteString("package table\n")
	return os.WriteFile(name, b.Bytes(), 0o644)
}
