package store

import (
	"os"

	"golang.org/x/sys/unix"
)

// renameNoReplace renames unless the new name is taken: renamex_np(2).
func renameNoReplace(from, to string) error {
	if err := unix.RenamexNp(from, to, unix.RENAME_EXCL); err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	return nil
}
