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
	withHung := append(slices.Clone(others), hung)

	day("first-day", balanced(func() []string {
		return join(base, shuffled(withHung...), shuffled(thick...), shuffled(thick...), shuffled(withHung...), base)
	})...)
	day("second-day", balanced(func() []string {
		return join(base, others[:1], shuffled(thick...), others[1:])
	})...)
	day("second-day-after-update", balanced(func() []string {
		return join(base, shuffled(thick...))
	})...)
	day("third-day", balanced(func() []string {
		return join(base, shuffled(withHung...), shuffled(thick...), shuffled(thick...), shuffled(others...), base)
	})...)
	return out
}

// balanced draws an order again until no configuration comes twice running and
// neither channels nor power limit lean towards one end of the day.
func balanced(draw func() []string) []string {
	for {
		ids := draw()
		var channels, power []float64
		running := false
		for i, id := range ids {
			running = running || i > 0 && id == ids[i-1]
			if c := find(id); c != nil {
				channels, power = append(channels, float64(c.channels)), append(power, float64(c.power))
			}
		}
		if !running && math.Abs(lean(channels)) < 0.1 && math.Abs(lean(power)) < 0.1 {
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
