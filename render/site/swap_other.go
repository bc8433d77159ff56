//go:build !linux

package site

import "os"

func swap(dir, next string, exists bool) error {
	if !exists {
		return os.Rename(next, dir)
	}
	return swapInTwoSteps(dir, next)
}
