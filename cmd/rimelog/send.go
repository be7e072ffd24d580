package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"time"

	"github.com/wneessen/go-mail"

	"rimelog/analysis/digest"
	"rimelog/analysis/say"
)

// sendTimeout bounds one delivery, so that a silent server does not hold the night.
const sendTimeout = time.Minute

// send delivers a digest in every way the group asks for.
func (o digestOptions) send(ctx context.Context, g group, d digest.Digest, l say.Locale) error {
	if len(g.MailTo) > 0 {
		if err := o.SMTP.mail(ctx, g, d, l); err != nil {
			return fmt.Errorf("mail: %w", err)
		}
	}
	if g.PostTo != "" {
		if err := post(ctx, g.PostTo, d); err != nil {
			return fmt.Errorf("post: %w", err)
		}
	}
	return nil
}

// mail sends text and HTML in one message.
func (s smtpServer) mail(ctx context.Context, g group, d digest.Digest, l say.Locale) error {
	m := mail.NewMsg()
	if err := m.From(s.From); err != nil {
		return err
	}
	if err := m.To(g.MailTo...); err != nil {
		return err
	}
	m.Subject(d.Subject(l))
	var text, html bytes.Buffer
	if err := d.Text(&text, l); err != nil {
		return err
	}
	if err := d.HTML(&html, l); err != nil {
		return err
	}
	m.SetBodyString(mail.TypeTextPlain, text.String())
	m.AddAlternativeString(mail.TypeTextHTML, html.String())
	client, err := s.client()
	if err != nil {
		return err
	}
	return client.DialAndSendWithContext(ctx, m)
}

func (s smtpServer) client() (*mail.Client, error) {
	port := s.Port
	if port == 0 {
		port = 587 // message submission: RFC 6409
	}
	roots, err := s.roots()
	if err != nil {
		return nil, err
	}
	options := []mail.Option{
		mail.WithPort(port), mail.WithTimeout(sendTimeout), mail.WithTLSPolicy(mail.TLSMandatory),
		mail.WithTLSConfig(&tls.Config{ServerName: s.Host, RootCAs: roots, MinVersion: tls.VersionTLS12}),
	}
	if s.User != "" {
		password, err := s.password()
		if err != nil {
			return nil, err
		}
		options = append(options, mail.WithSMTPAuth(mail.SMTPAuthAutoDiscover), mail.WithUsername(s.User), mail.WithPassword(password))
	}
	return mail.NewClient(s.Host, options...)
}

// roots are the certificates that a server is believed by; nil is the system's.
func (s smtpServer) roots() (*x509.CertPool, error) {
	if s.CAFile == "" {
		return nil, nil
	}
	b, err := os.ReadFile(s.CAFile)
	if err != nil {
		return nil, fmt.Errorf("digest.smtp.ca_file: %w", err)
	}
	pool := x509.NewCertPool()
	if !pool.AppendCertsFromPEM(b) {
		return nil, fmt.Errorf("digest.smtp.ca_file %s: no certificate in it", s.CAFile)
	}
	return pool, nil
}

// post sends a digest as JSON. Any answer but 2xx is an error.
func post(ctx context.Context, url string, d digest.Digest) error {
	b, err := json.Marshal(d)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, sendTimeout)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(b))
	if err != nil {
		return err
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if res.StatusCode/100 != 2 {
		answer, _ := io.ReadAll(io.LimitReader(res.Body, 200))
		return fmt.Errorf("%s answered %s: %q", url, res.Status, answer)
	}
	return nil
}
