//go:build !linux

package project

// inLargePages does nothing where the system decides by itself.
func inLargePages([]Reading) {}
