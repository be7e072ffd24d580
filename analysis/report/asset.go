package report

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
)

//go:generate go run ./bundle

//go:embed all:dist
var dist embed.FS

//go:embed html
var html embed.FS

// An Asset is a file that pages share, by its path below the report's folder.
type Asset struct {
	Path  string
	Bytes []byte
}

// ErrNoEngine says that the program was built without the chart engine: pages then
// have tables and small figures only, and say so.
var ErrNoEngine = errors.New("this build has no chart engine; \"make assets\" before the build adds it")

// Assets returns the files that pages share: the chart engine, under a name that
// follows from its content, and the licences it is under.
func Assets() ([]Asset, error) {
	script, err := engine()
	if err != nil {
		return nil, err
	}
	notices, err := dist.ReadFile("dist/NOTICES.txt")
	if err != nil {
		return nil, fmt.Errorf("chart engine: %w", err)
	}
	return []Asset{
		{"assets/echarts-" + short(sha256Of(script)) + ".js", script},
		{"assets/NOTICES.txt", notices},
	}, nil
}

func engine() ([]byte, error) {
	packed, err := dist.ReadFile("dist/echarts.js.gz")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNoEngine
	}
	if err != nil {
		return nil, fmt.Errorf("chart engine: %w", err)
	}
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("chart engine: %w", err)
	}
	return io.ReadAll(r)
}

func sha256Of(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// short is the beginning of a hash, enough to tell files apart.
func short(hash string) string {
	if len(hash) < 12 {
		return hash
	}
	return hash[:12]
}

// policy is the content security policy of a page: its own script by hash, the
// chart engine beside it, its own style, and nothing from anywhere else. A browser
// that keeps to it cannot reach a network from the page.
func policy(script string) string {
	sum := sha256.Sum256([]byte(script))
	return "default-src 'none'; script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) +
		"' 'self' file:; style-src 'unsafe-inline'; img-src data: blob:; base-uri 'none'; form-action 'none'"
}
