// Package servertest starts real servers of object stores, or their makers' emulators, for
// tests. `make test-long` installs them.
package servertest

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// Start starts a program that serves on an address of this machine, which it returns once
// somebody answers there. args gives the program's arguments for a host and a port.
func Start(t *testing.T, program string, args func(host, port string) []string) (address string) {
	t.Helper()
	if _, err := os.Stat(program); err != nil {
		t.Fatalf("%v: `make servers` installs it", err)
	}
	address = free(t)
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		t.Fatal(err)
	}
	server := exec.Command(program, args(host, port)...)
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
	return address
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
	for range 300 {
		if c, err := net.Dial("tcp", address); err == nil {
			c.Close()
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("nobody answers at %s", address)
}
