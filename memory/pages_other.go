//go:build !linux

package memory

// useLargePages does nothing where the system decides by itself.
func useLargePages(int64) {}
