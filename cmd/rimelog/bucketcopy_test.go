//go:build long || array

package main

import (
	"os"
	"path/filepath"
	"testing"

	"rimelog/pipeline/store"
	"rimelog/pipeline/store/bucket"
)

// fill puts a folder's files into a bucket.
func fill(t *testing.T, url, folder string) {
	t.Helper()
	b, err := bucket.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	for name := range hashes(t, folder, func(string) bool { return true }) {
		text, err := os.ReadFile(filepath.Join(folder, name))
		if err == nil {
			err = b.Put(t.Context(), name, store.Bytes(text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// copied is a bucket's content in a folder.
func copied(t *testing.T, url string) string {
	t.Helper()
	b, err := bucket.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	folder := t.TempDir()
	for _, root := range []string{"dataset", "report", "uploads", "register"} {
		infos, err := b.List(t.Context(), root)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range infos {
			text, err := store.ReadAll(t.Context(), b, i.Name)
			if err != nil {
				t.Fatal(err)
			}
			put(t, folder, map[string]string{i.Name: string(text)})
		}
	}
	return folder
}
