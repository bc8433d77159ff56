//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd)

package record

import (
	"errors"
	"io/fs"
	"os"
	"time"
)

const (
	lockFile    = ".benchwright-lock"
	lockPatient = 10 * time.Second // longer than any addition takes
	lockPause   = 20 * time.Millisecond
)

// lock keeps other programs that record out of the folder: a file that only one
// can make stands for it. One that a killed program left is taken over when its
// time is up.
func lock(root *os.Root) (unlock func(), err error) {
	for waited := time.Duration(0); ; waited += lockPause {
		f, err := root.OpenFile(lockFile, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if err == nil {
			f.Close()
			return func() { root.Remove(lockFile) }, nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
		if waited >= lockPatient {
			root.Remove(lockFile)
			waited = 0
		}
		time.Sleep(lockPause)
	}
}
