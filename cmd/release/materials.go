package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
)

// cyclonedx is the tool that reads a bill of materials out of a Go binary.
const cyclonedx = "github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0"

// materials is the program's bill of materials in CycloneDX JSON: the Go modules and
// the standard library from the binary, the chart engine's packages from their notices.
func materials(ctx context.Context, program string) ([]byte, error) {
	out, err := command(ctx, nil, "go", "run", cyclonedx, "bin", "-json", "-std", "-noserial", "-notimestamp", program)
	if err != nil {
		return nil, err
	}
	var bill map[string]any
	if err := json.Unmarshal(out, &bill); err != nil {
		return nil, fmt.Errorf("bill of materials: %w", err)
	}
	components, _ := bill["components"].([]any)
	chart, err := chartComponents()
	if err != nil {
		return nil, err
	}
	bill["components"] = append(components, chart...)
	return json.MarshalIndent(bill, "", "  ")
}

// noticeLine is what stands above each licence in the notices: name, version, licence.
var noticeLine = regexp.MustCompile(`(?m)^==== (\S+) (\S+) \((\S+)\) ====$`)

func chartComponents() (components []any, err error) {
	text, err := os.ReadFile(notices)
	if err != nil {
		return nil, fmt.Errorf("%w: run make assets first", err)
	}
	for _, m := range noticeLine.FindAllStringSubmatch(string(text), -1) {
		purl := "pkg:npm/" + m[1] + "@" + m[2]
		components = append(components, map[string]any{
			"type": "library", "bom-ref": purl, "purl": purl, "name": m[1], "version": m[2], "scope": "required",
			"licenses": []any{map[string]any{"license": map[string]any{"id": m[3]}}},
		})
	}
	if len(components) == 0 {
		return nil, fmt.Errorf("%s names no package", notices)
	}
	return components, nil
}
