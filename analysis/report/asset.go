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
	"strings"
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

// policy is the content security policy of a page: its own scripts and style by hash, the
// chart engine beside it where it has one, and nothing from anywhere else. A browser that
// keeps to it cannot reach a network from the page.
func policy(style string, beside bool, scripts ...string) string {
	allowed := make([]string, len(scripts))
	for i, s := range scripts {
		allowed[i] = hashSource(s)
	}
	if beside {
		allowed = append(allowed, "'self'", "file:")
	}
	return "default-src 'none'; script-src " + strings.Join(allowed, " ") + "; style-src 'unsafe-inline'; style-src-elem " + hashSource(style) +
		"; style-src-attr 'unsafe-inline'; img-src data: blob:; base-uri 'none'; form-action 'none'"
}

// hashSource names a script or style by its hash, as a policy does.
func hashSource(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// pack makes a script as small as a page can carry it: gzip in base64.
func pack(script string) (string, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := io.WriteString(w, script); err != nil {
		return "", err
	}
	if err := w.Close(); err != nil {
		return "", err
	}
	return base64.StdEncoding.EncodeToString(b.Bytes()), nil
}
