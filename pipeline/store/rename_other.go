//go:build !linux && !darwin

package store

import (
	"errors"
	"os"
)

// renameNoReplace has no system call to go to here.
func renameNoReplace(from, to string) error {
	return &os.LinkError{Op: "link", Old: from, New: to,
		Err: errors.New("this file system has no hard links; keep the workspace on one that has")}
}
