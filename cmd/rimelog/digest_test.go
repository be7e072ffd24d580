package main

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rimelog/analysis/digest"
	"rimelog/analysis/say"
)

// wired is a workspace whose nights tell two groups: one by mail, one by JSON.
func wired(t *testing.T, server *mailServer, url string) string {
	t.Helper()
	folder := newFleet(t, allUploads()...)
	o := defaultOptions()
	o.Digest = digestOptions{
		Groups: []group{{Name: "service", MailTo: []string{"one@example.org", "two@example.org"}}, {Name: "kiosk", Sites: []string{"kiosk"}, PostTo: url}},
		SMTP:   smtpServer{Host: "127.0.0.1", Port: server.port, From: "rimelog@example.org", User: "night", PasswordEnv: "RIMELOG_TEST_PASSWORD", CAFile: server.caFile},
	}
	b, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	put(t, folder, map[string]string{optionsFile: string(b)})
	t.Setenv("RIMELOG_TEST_PASSWORD", "a secret word")
	return folder
}

func doNight(t *testing.T, folder string) (code int, printed string) {
	t.Helper()
	var out, errOut bytes.Buffer
	code = run(t.Context(), []string{"nightly", "-workspace", folder, "-as-of", "2025-05-01"}, &out, &errOut)
	return code, out.String() + errOut.String()
}

// A night tells each group what is new, by mail with STARTTLS and a login, and as JSON;
// the next night, with nothing new, tells nobody anything.
func TestNightTellsWhatIsNewOnce(t *testing.T) {
	server := startMailServer(t)
	var posted []digest.Digest
	web := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		var d digest.Digest
		b, _ := io.ReadAll(r.Body)
		if err := json.Unmarshal(b, &d); err != nil || r.Header.Get("Content-Type") != "application/json" {
			t.Errorf("posted %s %v", b, err)
		}
		posted = append(posted, d)
	}))
	defer web.Close()
	folder := wired(t, server, web.URL)
	code, printed := doNight(t, folder)
	if code != exitLeftOut || strings.Contains(printed, "a secret word") {
		t.Fatalf("the night ends with %d and prints\n%s", code, printed)
	}
	mails := server.received()
	if len(mails) != 1 || server.plain || len(server.logins) != 1 || server.logins[0] != "|night|a secret word" {
		t.Fatalf("%d mails, logins %v, plain %v", len(mails), server.logins, server.plain)
	}
	for _, want := range []string{"Subject: rimelog 2025-05-01: ", "Upload refused", "unknown.csv", "text/html", "text/plain", "one@example.org"} {
		if !strings.Contains(mails[0], want) {
			t.Errorf("the mail does not say %q:\n%s", want, mails[0])
		}
	}
	if len(posted) != 1 || posted[0].Group != "kiosk" {
		t.Errorf("posted %+v", posted)
	}
	for _, i := range posted[0].Items {
		if i.What == "unknown.csv" {
			t.Error("the kiosk's group is told of a file that nobody claims")
		}
	}
	if doNight(t, folder); len(server.received()) != 1 || len(posted) != 1 {
		t.Error("nothing was new, and somebody was told")
	}
	verified(t, "told", folder)
}

// Who could not be told is told the next time; the others are not told twice.
func TestFailedDeliveryIsMadeUpFor(t *testing.T) {
	server := startMailServer(t)
	working, posts := false, 0
	web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		if posts++; !working {
			http.Error(w, "no", http.StatusServiceUnavailable)
		}
	}))
	defer web.Close()
	folder := wired(t, server, web.URL)
	if code, printed := doNight(t, folder); code != exitFailed || !strings.Contains(printed, "503") {
		t.Fatalf("the night ends with %d: %s", code, printed)
	}
	working = true
	doNight(t, folder)
	if len(server.received()) != 1 || posts != 2 {
		t.Errorf("%d mails, %d posts; want 1 and 2", len(server.received()), posts)
	}
}

func TestDryRunSendsAndRemembersNothing(t *testing.T) {
	server := startMailServer(t)
	folder := wired(t, server, "http://127.0.0.1:1/nobody")
	mustRun(t, folder)
	for range 2 {
		var out, errOut bytes.Buffer
		if code := run(t.Context(), []string{"digest", "-dry-run", "-workspace", folder}, &out, &errOut); code != exitDone || !strings.Contains(out.String(), "unknown.csv") {
			t.Errorf("%d: %s%s", code, out.String(), errOut.String())
		}
	}
	if len(server.received()) != 0 {
		t.Error("a dry run sent mail")
	}
	if _, err := os.Stat(filepath.Join(folder, "dataset", "ledger", "digest")); err == nil {
		t.Error("a dry run remembers")
	}
}

// A group is told in its own language, whatever that of the pages is.
func TestGroupsAreToldInTheirLanguage(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustRun(t, folder)
	o := defaultOptions()
	o.Digest.Groups = []group{{Name: "service"}, {Name: "kundendienst", Language: "de"}}
	b, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	put(t, folder, map[string]string{optionsFile: string(b)})
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"digest", "-dry-run", "-workspace", folder}, &out, &errOut); code != exitDone {
		t.Fatalf("%d: %s", code, errOut.String())
	}
	english, german, _ := strings.Cut(out.String(), "for kundendienst:")
	if !strings.Contains(english, "UPLOAD REFUSED") || !strings.Contains(german, "UPLOAD ABGELEHNT") || strings.Contains(german, "Next:") {
		t.Errorf("told in the wrong language:\n%s", out.String())
	}
}

// A server whose certificate nobody vouches for gets neither a password nor a digest.
func TestNoMailToAServerNobodyVouchesFor(t *testing.T) {
	s := smtpServer{Host: "127.0.0.1", Port: startMailServer(t).port, From: "a@example.org", User: "night", PasswordEnv: "RIMELOG_TEST_PASSWORD"}
	t.Setenv("RIMELOG_TEST_PASSWORD", "a secret word")
	if err := s.mail(t.Context(), group{MailTo: []string{"b@example.org"}}, digest.Digest{AsOf: "2025-05-01"}, say.Locale{}); err == nil || strings.Contains(err.Error(), "secret") {
		t.Errorf("a certificate nobody vouches for: %v", err)
	}
}

func TestDigestOptionsAreChecked(t *testing.T) {
	o := digestOptions{Groups: []group{{Name: "../x"}, {Name: "A", MailTo: []string{"nobody"}}, {Name: "a", PostTo: "ftp://x", Language: "tlh"}}, SMTP: smtpServer{PasswordFile: "x", PasswordEnv: "y"}}
	err := o.Validate()
	for _, want := range []string{`"../x"`, `"nobody"`, `groups[2].name "a"`, "ftp://x", "host and from", "not both", `language "tlh"`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("the complaint does not name %s: %v", want, err)
		}
	}
}
