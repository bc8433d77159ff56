package memory

import (
	"os"
	"strconv"
	"strings"
	"testing"
)

// resident is how much memory of the process is really there, in bytes.
func resident(t *testing.T) int {
	t.Helper()
	text, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		t.Skip(err)
	}
	pages, err := strconv.Atoi(strings.Fields(string(text))[1])
	if err != nil {
		t.Fatal(err)
	}
	return pages * os.Getpagesize()
}

// Room is asked for, and none of it used.
func TestLargePagesTakeNoMemory(t *testing.T) {
	if largeRoom(mostRoom) == 0 {
		t.Skip("memory is limited here, so that no room is taken")
	}
	before := resident(t)
	useLargePages(mostRoom)
	if more := resident(t) - before; more > 32<<20 {
		t.Errorf("%d MB more are in use", more>>20)
	}
}
