//go:build unix

package store

import (
	"errors"
	"os"
)

// syncFolder makes the names in a folder durable.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
