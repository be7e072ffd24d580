// Package s3test starts a real S3 server for tests: versitygw, which keeps buckets as
// folders. `make test-long` builds it.
package s3test

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// Start starts a server with one empty bucket and returns the bucket's URL. program is
// where the server's program lies.
func Start(t *testing.T, program string) (url string) {
	t.Helper()
	if _, err := os.Stat(program); err != nil {
		t.Fatalf("%v: `make .cache/bin/versitygw` builds the S3 server", err)
	}
	data := t.TempDir()
	if err := os.Mkdir(filepath.Join(data, "rime"), 0o755); err != nil {
		t.Fatal(err)
	}
	address := free(t)
	server := exec.Command(program, "--access", "testkey", "--secret", "testsecret", "--port", address, "posix", data)
	log, err := os.Create(filepath.Join(t.TempDir(), "log"))
	if err != nil {
		t.Fatal(err)
	}
	server.Stdout, server.Stderr = log, log
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		server.Process.Kill()
		server.Wait()
		log.Close()
	})
	await(t, address)
	t.Setenv("AWS_ACCESS_KEY_ID", "testkey")
	t.Setenv("AWS_SECRET_ACCESS_KEY", "testsecret")
	t.Setenv("AWS_REGION", "us-east-1")
	return fmt.Sprintf("s3://rime?endpoint=http://%s&use_path_style=true&region=us-east-1", address)
}

// free finds an address of this machine that nobody listens on.
func free(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

func await(t *testing.T, address string) {
	t.Helper()
	for range 100 {
		if c, err := net.Dial("tcp", address); err == nil {
			c.Close()
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatal("the S3 server does not answer")
}
