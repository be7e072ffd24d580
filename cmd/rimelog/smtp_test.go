package main

import (
	"bufio"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/base64"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// A mailServer takes mail as RFC 5321 says, with STARTTLS (RFC 3207) and AUTH PLAIN
// (RFC 4616), on an address of this machine.
type mailServer struct {
	port   int
	caFile string

	mu       sync.Mutex
	messages []string
	logins   []string
	plain    bool // a command besides EHLO, STARTTLS and QUIT came before TLS
}

func startMailServer(t *testing.T) *mailServer {
	t.Helper()
	cert, caFile := selfSigned(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	s := &mailServer{port: l.Addr().(*net.TCPAddr).Port, caFile: caFile}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go s.serve(c, &tls.Config{Certificates: []tls.Certificate{cert}})
		}
	}()
	return s
}

func (s *mailServer) received() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.messages...)
}

func (s *mailServer) serve(c net.Conn, config *tls.Config) {
	defer func() { c.Close() }()
	r, secure := bufio.NewReader(c), false
	say := func(line string) { c.Write([]byte(line + "\r\n")) }
	say("220 mail.example ESMTP")
	for {
		line, err := r.ReadString('\n')
		if err != nil {
			return
		}
		verb := strings.ToUpper(strings.Fields(line + " x")[0])
		s.mu.Lock()
		s.plain = s.plain || !secure && verb != "EHLO" && verb != "STARTTLS" && verb != "QUIT" && verb != "NOOP"
		s.mu.Unlock()
		switch verb {
		case "EHLO":
			if secure {
				say("250-mail.example\r\n250 AUTH PLAIN")
			} else {
				say("250-mail.example\r\n250 STARTTLS")
			}
		case "STARTTLS":
			say("220 go ahead")
			c, secure = tls.Server(c, config), true
			r = bufio.NewReader(c)
		case "AUTH":
			s.login(strings.Fields(line)[2])
			say("235 welcome")
		case "DATA":
			say("354 end with a dot")
			s.take(r)
			say("250 taken")
		case "QUIT":
			say("221 bye")
			return
		default:
			say("250 ok")
		}
	}
}

func (s *mailServer) login(plain string) {
	b, _ := base64.StdEncoding.DecodeString(plain)
	s.mu.Lock()
	s.logins = append(s.logins, strings.ReplaceAll(string(b), "\x00", "|"))
	s.mu.Unlock()
}

func (s *mailServer) take(r *bufio.Reader) {
	var b strings.Builder
	for {
		line, err := r.ReadString('\n')
		if err != nil || line == ".\r\n" {
			break
		}
		b.WriteString(line)
	}
	s.mu.Lock()
	s.messages = append(s.messages, b.String())
	s.mu.Unlock()
}

// selfSigned makes a certificate for 127.0.0.1 and a file by which to believe it.
func selfSigned(t *testing.T) (tls.Certificate, string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	about := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "mail.example"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IsCA: true, BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
	}
	der, err := x509.CreateCertificate(rand.Reader, about, about, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "ca.pem")
	if err := os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600); err != nil {
		t.Fatal(err)
	}
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, file
}
