//go:build !linux

package site

import "os"

func swap(dir, next string, exists bool) error {
	if !exists {
		return os.Rename(next, dir)
	}
	return swapInTwoSteps(dir, next)
}

// lock does nothing where folders cannot be locked.
func lock(string) (unlock func(), err error) { return func() {}, nil }
