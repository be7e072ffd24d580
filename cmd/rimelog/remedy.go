package main

import (
	"errors"
	"io/fs"
	"syscall"

	"rimelog/pipeline/store"
)

// remedy is what to do about a failure of the disk or of another run; empty where only the
// error itself tells.
func remedy(err error) string {
	var busy *store.BusyError
	switch {
	case errors.As(err, &busy):
		return "run again when it has ended; nothing was touched"
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return "the disk is full: make room, for which rimelog prune removes what nothing needs, and run again; nothing is lost, and what was done is not done again"
	case errors.Is(err, syscall.EROFS):
		return "the disk takes no writes: mount it for writing, or look why the system stopped that, and run again; nothing is lost"
	case errors.Is(err, fs.ErrPermission):
		return "this user may not read or write that: give the right, or run as the workspace's owner, and run again; nothing is lost"
	}
	return ""
}
