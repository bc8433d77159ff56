package record

import "syscall"

// tmpfs mounts a file system of 128 kB.
func tmpfs(dir string) error {
	return syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=128k")
}
