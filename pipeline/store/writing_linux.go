package store

import (
	"os"

	"golang.org/x/sys/unix"
)

// startWriting sends a file's bytes on their way to the disk without waiting for them:
// sync_file_range(2). It promises nothing; a sync follows.
func startWriting(f *os.File) {
	_ = unix.SyncFileRange(int(f.Fd()), 0, 0, unix.SYNC_FILE_RANGE_WRITE)
}
