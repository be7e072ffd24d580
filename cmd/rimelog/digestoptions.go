package main

import (
	"cmp"
	"errors"
	"fmt"
	"net/mail"
	"net/url"
	"os"
	"strings"

	"rimelog/analysis/say"
	"rimelog/pipeline/register"
)

// digestOptions say who is told what is new, and how. Secrets are not in the file: it
// names where they are.
type digestOptions struct {
	Groups []group    `json:"groups" doc:"who is told: each with a name, sites (empty: all), mail_to (addresses), language (empty: that of the pages) and post_to (a URL for JSON)"`
	SMTP   smtpServer `json:"smtp"`
}

// A group is people who look after some sites.
type group struct {
	Name     string   `json:"name"`
	Sites    []string `json:"sites"` // as in systems.csv; empty: all
	MailTo   []string `json:"mail_to"`
	PostTo   string   `json:"post_to"`
	Language string   `json:"language"` // of the mail; empty: that of the pages
}

// speech is how a group is told: in its language, in the units of the pages.
func (o options) speech(g group) (say.Locale, error) {
	o.Report.Language = cmp.Or(g.Language, o.Report.Language)
	return o.Report.Locale()
}

// An smtpServer takes mail. STARTTLS is required.
type smtpServer struct {
	Host         string `json:"host" doc:"mail server; STARTTLS is required"`
	Port         int    `json:"port" doc:"its port; 0 is 587"`
	From         string `json:"from" doc:"sender's address"`
	User         string `json:"user" doc:"user name there; empty: no login"`
	PasswordFile string `json:"password_file" doc:"file with the password; or else"`
	PasswordEnv  string `json:"password_env" doc:"environment variable with the password"`
	CAFile       string `json:"ca_file" doc:"PEM file with the certificate authority of a server of your own; empty: those of the system"`
}

// Validate returns everything that is wrong with the options.
func (o digestOptions) Validate() error {
	var errs []error
	seen := map[string]bool{}
	for i, g := range o.Groups {
		if register.CheckID(g.Name) != nil || seen[strings.ToLower(g.Name)] {
			errs = append(errs, fmt.Errorf("digest.groups[%d].name %q: want a name of its own of letters, digits and . _ -", i, g.Name))
		}
		seen[strings.ToLower(g.Name)] = true
		if _, err := say.Load(g.Language); err != nil {
			errs = append(errs, fmt.Errorf("digest.groups[%d].language: %w", i, err))
		}
		for _, a := range g.MailTo {
			if _, err := mail.ParseAddress(a); err != nil {
				errs = append(errs, fmt.Errorf("digest.groups[%d].mail_to %q: %w", i, a, err))
			}
		}
		if u, err := url.Parse(g.PostTo); g.PostTo != "" && (err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http") {
			errs = append(errs, fmt.Errorf("digest.groups[%d].post_to %q: want a URL as https://host/path", i, g.PostTo))
		}
		if len(g.MailTo) > 0 && (o.SMTP.Host == "" || o.SMTP.From == "") {
			errs = append(errs, fmt.Errorf("digest.smtp: groups want mail, so host and from must be given"))
		}
	}
	if o.SMTP.PasswordFile != "" && o.SMTP.PasswordEnv != "" {
		errs = append(errs, errors.New("digest.smtp: give password_file or password_env, not both"))
	}
	return errors.Join(errs...)
}

// password reads the secret from where the options say it is.
func (s smtpServer) password() (string, error) {
	switch {
	case s.PasswordFile != "":
		b, err := os.ReadFile(s.PasswordFile)
		if err != nil {
			return "", fmt.Errorf("digest.smtp.password_file: %w", err)
		}
		return strings.TrimRight(string(b), "\r\n"), nil
	case s.PasswordEnv != "":
		v, ok := os.LookupEnv(s.PasswordEnv)
		if !ok {
			return "", fmt.Errorf("digest.smtp.password_env: there is no environment variable %s", s.PasswordEnv)
		}
		return v, nil
	}
	return "", nil
}
