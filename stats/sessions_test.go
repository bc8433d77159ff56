package stats

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestMeanOverSessions: Student's interval of readings from several sessions, as of
// one sample, holds the mean over all sessions far less often than it says, since
// readings of one session go together (pseudo-replication: S. H. Hurlbert,
// Ecological Monographs 54, 1984, 187–211; from memory). docs/coverage.md has the
// shares, which are those of a simulation by another program.
func TestMeanOverSessions(t *testing.T) {
	const reports = 4000
	random := rand.New(rand.NewPCG(3, 1))
	for _, c := range []struct {
		readings []int // by session
		holds    float64
	}{
		{[]int{3}, 0.50},
		{[]int{2, 2}, 0.77},
		{[]int{3, 3, 3}, 0.68},
		{[]int{2, 2, 2, 4}, 0.72},
	} {
		holds := 0
		for range reports {
			var x []float64
			for _, n := range c.readings {
				session := 3 * random.NormFloat64()
				for range n {
					x = append(x, session+random.NormFloat64())
				}
			}
			i, err := MeanInterval(x, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if i.Contains(0) {
				holds++
			}
		}
		// Four standard errors, and the rounding of what is stated.
		share, bound := float64(holds)/reports, 4*math.Sqrt(c.holds*(1-c.holds)/reports)+0.005
		if math.Abs(share-c.holds) > bound {
			t.Errorf("%v: %.3f hold the mean over sessions, want %.2f", c.readings, share, c.holds)
		}
	}
}
