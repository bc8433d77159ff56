package project

import (
	"syscall"
	"unsafe"
)

// inLargePages asks the kernel to back a long stretch of memory with large
// pages: then it is made available in some dozens of steps, and not in tens of
// thousands, which take longer than reading a result file into it. It is
// advice; where it is not taken nothing changes.
func inLargePages(readings []Reading) {
	const page = 2 << 20
	room := unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(readings))), cap(readings)*int(unsafe.Sizeof(Reading{})))
	// Whole large pages only: what lies beside them is none of our business.
	start := -uintptr(unsafe.Pointer(unsafe.SliceData(room))) & (page - 1)
	if uintptr(len(room)) < start+page {
		return
	}
	whole := room[start : start+(uintptr(len(room))-start)&^(page-1)]
	_ = syscall.Madvise(whole, syscall.MADV_HUGEPAGE)
}
