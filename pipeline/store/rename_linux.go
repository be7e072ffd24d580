package store

import (
	"os"

	"golang.org/x/sys/unix"
)

// renameNoReplace renames unless the new name is taken: renameat2(2).
func renameNoReplace(from, to string) error {
	err := unix.Renameat2(unix.AT_FDCWD, from, unix.AT_FDCWD, to, unix.RENAME_NOREPLACE)
	if err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	return nil
}
