package site

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// swap puts the new tree in the place of the old one. With an old tree the two
// are exchanged in one step; the caller removes what is then at next.
func swap(dir, next string, exists bool) error {
	if !exists {
		return os.Rename(next, dir)
	}
	err := unix.Renameat2(unix.AT_FDCWD, next, unix.AT_FDCWD, dir, unix.RENAME_EXCHANGE)
	if errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOSYS) {
		return swapInTwoSteps(dir, next)
	}
	return err
}
