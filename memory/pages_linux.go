package memory

import (
	"math"
	"os"
	"runtime"
	"strings"
	"syscall"
	"unsafe"
)

// roomInLargePages is as much as the memory of a large report.
const roomInLargePages = 512 << 20

// useLargePages has the heap grow into memory for which the kernel was asked to
// use large pages: a command that lives for a moment spends up to a third of it
// waiting for its memory to be made available, page by page. To that end room is
// taken, marked and given back to the heap unused. It is advice; where it is not
// taken, nothing changes.
func useLargePages() {
	if !memoryIsFree() {
		return
	}
	// A builder's room is not filled with zeros, so that none of it is touched.
	var room strings.Builder
	room.Grow(roomInLargePages)
	room.WriteByte(0)
	taken := unsafe.Slice(unsafe.StringData(room.String()), roomInLargePages)
	const page = 2 << 20
	start := -uintptr(unsafe.Pointer(unsafe.SliceData(taken))) & (page - 1)
	_ = syscall.Madvise(taken[start:(roomInLargePages-start)&^(page-1)], syscall.MADV_HUGEPAGE)
	room.Reset()
	runtime.GC()
}

// memoryIsFree tells whether taking memory costs nothing until it is used:
// neither a limit on addresses nor strict accounting stands against it.
func memoryIsFree() bool {
	if unsafe.Sizeof(uintptr(0)) < 8 {
		return false // addresses themselves are scarce
	}
	for _, limit := range []int{syscall.RLIMIT_AS, syscall.RLIMIT_DATA} {
		var l syscall.Rlimit
		if syscall.Getrlimit(limit, &l) != nil || l.Cur != math.MaxUint64 {
			return false
		}
	}
	policy, err := os.ReadFile("/proc/sys/vm/overcommit_memory")
	return err == nil && !strings.HasPrefix(string(policy), "2")
}
