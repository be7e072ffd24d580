//go:build array

package main

import (
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"

	"rimelog/pipeline/store/bucket/s3test"
)

// requests counts what an object store is asked, by kind. Stores charge for a put, a copy and
// a list about the same, a tenth of it for a get and a head, and nothing for a delete.
type requests struct {
	mu    sync.Mutex
	kinds map[string]int
}

// through is the bucket's URL by way of a server that counts.
func (r *requests) through(t *testing.T, bucket string) string {
	t.Helper()
	_, rest, _ := strings.Cut(bucket, "endpoint=")
	endpoint, _, _ := strings.Cut(rest, "&")
	to, err := url.Parse(endpoint)
	if err != nil {
		t.Fatal(err)
	}
	proxy := &httputil.ReverseProxy{Director: func(q *http.Request) {
		r.count(q)
		q.URL.Scheme, q.URL.Host = to.Scheme, to.Host
	}}
	server := httptest.NewServer(proxy)
	t.Cleanup(server.Close)
	return strings.Replace(bucket, endpoint, server.URL, 1)
}

func (r *requests) count(q *http.Request) {
	r.mu.Lock()
	defer r.mu.Unlock()
	kind := strings.ToLower(q.Method)
	switch {
	case q.Method == http.MethodGet && q.URL.Query().Has("list-type"):
		kind = "list"
	case q.Header.Get("X-Amz-Copy-Source") != "":
		kind = "copy"
	}
	r.kinds[kind]++
}

// taken gives what was asked since it was taken last, for each of so many things.
func (r *requests) taken(of int) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	var said []string
	for _, kind := range slices.Sorted(maps.Keys(r.kinds)) {
		said = append(said, fmt.Sprintf("%s %.2f", kind, float64(r.kinds[kind])/float64(of)))
	}
	clear(r.kinds)
	return strings.Join(said, ", ")
}

// What a bucket is asked for each upload: when it is new, stage by stage in two shards, and in
// a night with nothing new. The figures stand in the README.
func TestArrayRequests(t *testing.T) {
	const systems = 20
	p, fleet := buildProgram(t), visitedFleet(t, systems)
	direct := s3test.Start(t, versitygw)
	fill(t, direct, fleet)
	uploads := len(hashes(t, fleet, func(name string) bool { return strings.HasPrefix(name, "uploads/") }))
	asked := &requests{kinds: map[string]int{}}
	bucket := asked.through(t, direct)
	for _, night := range []string{"new", "nothing new"} {
		for _, stage := range stageNames {
			for i := range shardsOfStage(stage, twoShards) {
				p.stage(t, bucket, stage, i, twoShards)
			}
			t.Logf("%s, %s: for each of %d uploads %s", night, stage, uploads, asked.taken(uploads))
		}
	}
}
