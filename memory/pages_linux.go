package memory

import (
	"math"
	"os"
	"runtime"
	"strings"
	"syscall"
	"unsafe"
)

// largePage is the size of one, and mostRoom in whole ones about as much as a
// report of a million readings takes.
const (
	largePage = 2 << 20
	mostRoom  = 2<<30 - largePage
)

// useLargePages has the heap grow into memory for which the kernel was asked to
// use large pages: a command that lives for a moment spends up to a third of it
// waiting for its memory to be made available, page by page. To that end room is
// taken, marked and given back to the heap unused. That takes longer the more is
// taken, so it is what is expected to be needed. It is advice; where it is not
// followed, nothing changes.
func useLargePages(expected int64) {
	n := largeRoom(min(expected, mostRoom))
	if n == 0 {
		return
	}
	// A builder's room is not filled with zeros, so that none of it is touched.
	var room strings.Builder
	room.Grow(n)
	room.WriteByte(0)
	taken := unsafe.Slice(unsafe.StringData(room.String()), n)
	start := -int(uintptr(unsafe.Pointer(unsafe.SliceData(taken)))) & (largePage - 1)
	whole := (n - start) &^ (largePage - 1)
	_ = syscall.Madvise(taken[start:start+whole], syscall.MADV_HUGEPAGE)
	room.Reset()
	runtime.GC()
}

// largeRoom is how much may be taken without cost as long as it is not used, at
// most so many bytes: a quarter of the machine's memory, which the kernel grants
// without counting it, and nothing where a limit on addresses or strict
// accounting stands against it.
func largeRoom(most int64) int {
	if unsafe.Sizeof(uintptr(0)) < 8 {
		return 0 // addresses themselves are scarce
	}
	for _, limit := range []int{syscall.RLIMIT_AS, syscall.RLIMIT_DATA} {
		var l syscall.Rlimit
		if syscall.Getrlimit(limit, &l) != nil || l.Cur != math.MaxUint64 {
			return 0
		}
	}
	policy, err := os.ReadFile("/proc/sys/vm/overcommit_memory")
	var system syscall.Sysinfo_t
	if err != nil || strings.HasPrefix(string(policy), "2") || syscall.Sysinfo(&system) != nil {
		return 0
	}
	memory := uint64(system.Totalram) * uint64(system.Unit)
	return int(min(uint64(most), memory/4)) &^ (largePage - 1)
}
