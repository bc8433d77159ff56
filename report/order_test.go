package report

import (
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"benchwright/project"
)

// orderOfEqual is the order that pure noise makes: twelve configurations of the
// same mean, five readings each, all in one session.
func orderOfEqual(t *testing.T, random *rand.Rand, scale project.Scale) []Ranked {
	m := make1()
	var levels []any
	for i := range 12 {
		levels = append(levels, i)
	}
	m.factor("cooler", project.Studied, "", levels...)
	w := m.workload("run", "K", true)
	m.Workloads[w].Scale = scale
	session := m.session("s1")
	for i := range 12 {
		c := m.configuration("c"+strconv.Itoa(i), i)
		for range 5 {
			m.read(c, w, session, strconv.FormatFloat(100+random.NormFloat64(), 'f', 4, 64))
		}
	}
	return m.build(t).Workloads[w].Order
}

// Ranks among equals are false claims. Compared one by one with the best of
// twelve at 95 %, more than half of such orders would show some.
func TestNoiseGivesNoRanks(t *testing.T) {
	for _, scale := range []project.Scale{project.RatioScale, project.IntervalScale} {
		random := rand.New(rand.NewPCG(12, 61))
		wrong, of := 0, 200
		for range of {
			for _, place := range orderOfEqual(t, random, scale) {
				if place.Rank > 1 {
					wrong++
					break
				}
			}
		}
		// More than the level's twentieth, as the best of twelve is no one chosen
		// beforehand: eleven comparisons allow for the others, not for that choice.
		if wrong > of*3/20 {
			t.Errorf("scale %v: %d of %d orders of equals have ranks", scale, wrong, of)
		}
		if wrong == 0 {
			t.Errorf("scale %v: no order of %d has ranks: is anything compared at all?", scale, of)
		}
		t.Logf("scale %v: %d of %d", scale, wrong, of)
	}
}

// forty is a project of forty configurations and so many workloads, five readings
// each, of which mean gives the true mean.
func forty(random *rand.Rand, workloads int, mean func(configuration, workload int) float64) *made {
	m := make1()
	var levels []any
	for i := range 40 {
		levels = append(levels, i)
	}
	m.factor("cooler", project.Studied, "", levels...)
	for w := range workloads {
		m.Workloads[m.workload("w"+strconv.Itoa(w), "fps", true)].Scale = project.RatioScale
	}
	session := m.session("s1")
	for i := range 40 {
		c := m.configuration("c"+strconv.Itoa(i), i)
		for w := range workloads {
			for range 5 {
				m.read(c, w, session, strconv.FormatFloat(mean(i, w)+random.NormFloat64(), 'f', 4, 64))
			}
		}
	}
	m.overall()
	return m
}

// Among hundreds of pairs some win here and lose there by chance.
func TestNoiseGivesNoCrossovers(t *testing.T) {
	random := rand.New(rand.NewPCG(40, 5))
	wrong, of := 0, 60
	for range of {
		equals := forty(random, 5, func(int, int) float64 { return 100 })
		if _, found := equals.build(t).crossovers(); found {
			wrong++
		}
	}
	if wrong > of/10 {
		t.Errorf("%d of %d reports of equals say that one wins here and the other there", wrong, of)
	}
}

// What is plain is still seen among as many.
func TestARealCrossoverIsSeenAmongMany(t *testing.T) {
	m := forty(rand.New(rand.NewPCG(40, 6)), 2, func(configuration, workload int) float64 {
		if configuration == workload { // the first leads on one, the second on the other
			return 130
		}
		return 100
	})
	i, found := m.build(t).crossovers()
	if !found || !strings.Contains(i.Sentence.Text, "c0") || !strings.Contains(i.Sentence.Text, "c1") {
		t.Errorf("%v: %q", found, i.Sentence.Text)
	}
}
