package site

import "os"

// swapInTwoSteps is for file systems that cannot exchange two folders. A crash
// between the renames leaves the old site whole beside its place, and the next
// run brings it back (see clearLeftovers).
func swapInTwoSteps(dir, next string) error {
	aside := next + asideSuffix
	if err := os.Rename(dir, aside); err != nil {
		return err
	}
	if err := os.Rename(next, dir); err != nil {
		if back := os.Rename(aside, dir); back != nil {
			return back
		}
		return err
	}
	return os.Rename(aside, next)
}
