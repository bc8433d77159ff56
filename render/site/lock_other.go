//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd)

package site

import "time"

// leftoverAge is how old a folder beside the site must be to be a leftover: no
// lock tells whether somebody still writes it, and nobody does for so long.
const leftoverAge = 6 * time.Hour

// lock and wait do nothing where folders cannot be locked.
func lock(string) (unlock func(), err error) { return func() {}, nil }

func wait(string) (unlock func(), err error) { return func() {}, nil }
