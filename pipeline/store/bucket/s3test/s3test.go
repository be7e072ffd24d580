// Package s3test starts a real S3 server for tests: versitygw, which keeps buckets as
// folders. `make test-long` builds it.
package s3test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"rimelog/pipeline/store/bucket/servertest"
)

// Start starts a server with one empty bucket and returns the bucket's URL. program is
// where the server's program lies.
func Start(t *testing.T, program string) (url string) {
	t.Helper()
	data := t.TempDir()
	if err := os.Mkdir(filepath.Join(data, "rime"), 0o755); err != nil {
		t.Fatal(err)
	}
	address := servertest.Start(t, program, func(host, port string) []string {
		return []string{"--access", "testkey", "--secret", "testsecret", "--port", host + ":" + port, "posix", data}
	})
	t.Setenv("AWS_ACCESS_KEY_ID", "testkey")
	t.Setenv("AWS_SECRET_ACCESS_KEY", "testsecret")
	t.Setenv("AWS_REGION", "us-east-1")
	return fmt.Sprintf("s3://rime?endpoint=http://%s&use_path_style=true&region=us-east-1", address)
}
