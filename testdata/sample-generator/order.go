package main

import (
	"math"
	"math/rand/v2"
	"slices"
)

// visit is one turn of one configuration at the bench: every workload once.
type visit struct {
	session, configuration string
	order, repeat          int
}

var thick = []string{"one-15-thick", "one-25-thick", "one-35-thick", "two-15-thick", "two-25-thick", "two-35-thick", "quick-kit", "new-system"}

// visits lays out the three days. Changing the pad takes the machine apart, so
// it is changed twice a day and no more: thin, thick, thin, which balances the
// pad against the hour. Within a pad the order is random.
func visits(r *rand.Rand) []visit {
	var out []visit
	day := func(session string, ids ...string) {
		n := map[string]int{}
		for i, id := range ids {
			n[id]++
			out = append(out, visit{session, id, i + 1, n[id]})
		}
	}
	shuffled := func(ids ...string) []string {
		s := slices.Clone(ids)
		r.Shuffle(len(s), func(i, j int) { s[i], s[j] = s[j], s[i] })
		return s
	}
	join := slices.Concat[[]string]
	base := []string{"one-15-thin"}
	others := []string{"two-15-thin", "one-35-thin"}

	day("first-day", join(base, shuffled(append(others, hung)...), rounds(r, 2), shuffled(append(others, hung)...), base)...)
	day("second-day", join(base, others[:1], rounds(r, 1), others[1:])...)
	day("second-day-after-update", join(base, rounds(r, 1))...)
	day("third-day", join(base, shuffled(append(others, hung)...), rounds(r, 2), shuffled(others...), base)...)
	return out
}

// rounds gives n rounds of the thick-pad configurations in random order, drawn
// again until no configuration comes twice running and neither channels nor
// power limit lean towards one end of the day.
func rounds(r *rand.Rand, n int) []string {
	for {
		var ids []string
		for range n {
			s := slices.Clone(thick)
			r.Shuffle(len(s), func(i, j int) { s[i], s[j] = s[j], s[i] })
			ids = append(ids, s...)
		}
		channels, power := make([]float64, len(ids)), make([]float64, len(ids))
		for i, id := range ids {
			c := find(id)
			channels[i], power[i] = float64(c.channels), float64(c.power)
		}
		running := false
		for i := 1; i < len(ids); i++ {
			running = running || ids[i] == ids[i-1]
		}
		if !running && math.Abs(lean(channels)) < 0.15 && math.Abs(lean(power)) < 0.15 {
			return ids
		}
	}
}

// lean is the correlation of x with its place in the order.
func lean(x []float64) float64 {
	at := make([]float64, len(x))
	for i := range at {
		at[i] = float64(i)
	}
	mx, sx := meanSD(x)
	ma, sa := meanSD(at)
	var s float64
	for i := range x {
		s += (x[i] - mx) * (at[i] - ma)
	}
	return s / (sx * sa * float64(len(x)-1))
}

func find(id string) *configuration {
	for i := range configurations {
		if configurations[i].id == id {
			return &configurations[i]
		}
	}
	return nil
}
