package memory

import (
	"runtime"
	"testing"
	"time"
)

func TestRoomGrowsWithWhatIsInUse(t *testing.T) {
	for _, c := range []struct {
		alive uint64
		want  int64
	}{
		{0, leastRoom},
		{leastRoom / 2, leastRoom},
		{2 << 30, 3 << 30},
	} {
		if got := roomFor(c.alive); got != c.want {
			t.Errorf("%d bytes in use have room for %d, want %d", c.alive, got, c.want)
		}
	}
}

// The hook runs after one collection after another, not once.
func TestEveryCollectionIsSeen(t *testing.T) {
	seen := make(chan uint64, 3)
	afterCollection(func() {
		select {
		case seen <- alive():
		default: // the test is over
		}
	})
	for n := range 3 {
		runtime.GC()
		select {
		case bytes := <-seen:
			if bytes == 0 {
				t.Error("nothing is in use")
			}
		case <-time.After(20 * time.Second):
			t.Fatalf("collection %d went unseen", n+1)
		}
	}
}
