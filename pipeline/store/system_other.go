//go:build !unix

package store

// syncFolder does nothing: the system keeps its folders durable by itself.
func syncFolder(string) error { return nil }
