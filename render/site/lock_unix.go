//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package site

import (
	"errors"
	"os"
	"syscall"
	"time"
)

// leftoverAge is how old what nobody has locked must be to be a leftover: a lock
// tells at once.
const leftoverAge = time.Duration(0)

// lock takes the folder for this process until unlock or its end, however it
// ends; ErrBusy says that another process has it. A file system without locks is
// used without one.
func lock(dir string) (unlock func(), err error) { return flock(dir, syscall.LOCK_EX|syscall.LOCK_NB) }

// wait takes the folder as lock does, once whoever has it lets it go.
func wait(dir string) (unlock func(), err error) { return flock(dir, syscall.LOCK_EX) }

func flock(dir string, how int) (unlock func(), err error) {
	f, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	for {
		err = syscall.Flock(int(f.Fd()), how)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	if errors.Is(err, syscall.EWOULDBLOCK) {
		f.Close()
		return nil, ErrBusy
	}
	return func() { f.Close() }, nil
}
