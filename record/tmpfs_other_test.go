//go:build unix && !linux

package record

import "errors"

func tmpfs(string) error { return errors.ErrUnsupported }
