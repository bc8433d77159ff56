//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package record

import (
	"errors"
	"os"
	"syscall"
)

// lock keeps other programs that record out of the folder until unlock is
// called or the program ends. It locks the folder itself, so that no file is
// left behind. A file system without locks is used without one.
func lock(root *os.Root) (unlock func(), err error) {
	f, err := root.Open(".")
	if err != nil {
		return nil, err
	}
	for {
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	if err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, syscall.ENOLCK) && !errors.Is(err, syscall.EINVAL) {
		f.Close()
		return nil, err
	}
	return func() { f.Close() }, nil
}
