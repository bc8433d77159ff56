package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"benchwright/project"
)

// large makes 2,000 configurations of 40 factors, read five times on three
// workloads over four sessions: the size that has to be checked within two
// seconds. One in a hundred held values is wrong.
func large() *project.Project {
	random := rand.New(rand.NewPCG(3, 5))
	b := newBench()
	for f := range 40 {
		switch {
		case f < 10:
			b.factor(fmt.Sprintf("studied-%d", f), project.Studied)
		case f < 14:
			b.factor(fmt.Sprintf("follower-%d", f), project.Follows, fmt.Sprintf("studied-%d", f-10))
		case f < 38:
			b.factor(fmt.Sprintf("held-%d", f), project.Held)
		default:
			n := b.factor(fmt.Sprintf("nuisance-%d", f), project.Nuisance)
			n.Numeric, n.Tolerance = true, project.Tolerance{Absolute: 3}
		}
	}
	for f := range 10 {
		b.question(fmt.Sprintf("q-%d", f), fmt.Sprintf("studied-%d", f), "l0", "l1")
	}
	for w := range 3 {
		b.workload(fmt.Sprintf("w-%d", w))
	}
	for s := range 4 {
		b.session(fmt.Sprintf("s-%d", s), fmt.Sprintf("nuisance-38=%d", 20+s%2), fmt.Sprintf("nuisance-39=%d", 230+s%2))
	}
	for c := range 2000 {
		var set []string
		for f := range 10 {
			l := c >> f & 1
			set = append(set, fmt.Sprintf("studied-%d=l%d", f, l))
			if f < 4 {
				set = append(set, fmt.Sprintf("follower-%d=v%d", f+10, l))
			}
		}
		for f := 14; f < 38; f++ {
			v := "usual"
			if random.IntN(100) == 0 {
				v = "odd"
			}
			set = append(set, fmt.Sprintf("held-%d=%s", f, v))
		}
		b.configuration(fmt.Sprintf("c-%04d", c), set...)
	}
	for repeat := range 5 {
		for c := range 2000 {
			for w := range 3 {
				x := 100 * (1 + 0.001*float64(c%97)) * math.Exp(0.01*random.NormFloat64())
				written := strconv.FormatFloat(x, 'f', 2, 64)
				r := project.Reading{Configuration: int32(c), Workload: int32(w), Session: int32(c % 4), Repeat: int32(repeat + 1),
					Order: int32(repeat*2000 + c + 1), HasValue: true, Value: x, Raw: x, Line: int32(len(b.p.Readings) + 2)}
				b.p.Write(&r, written, "", "")
				b.p.Readings = append(b.p.Readings, r)
			}
		}
	}
	return b.p
}

func BenchmarkCheckOfTwoThousandConfigurations(b *testing.B) {
	p := large()
	b.ReportAllocs()
	for b.Loop() {
		Check(p, NewSpace(p))
	}
}

func BenchmarkStructureOfTwoThousandConfigurations(b *testing.B) {
	s := NewSpace(large())
	for b.Loop() {
		s.Structure(StructureOptions{})
	}
}

func BenchmarkSpaceOfTwoThousandConfigurations(b *testing.B) {
	p := large()
	for b.Loop() {
		NewSpace(p)
	}
}

// The same size with nothing to pair: every configuration has a value of its
// own of a held factor, so that each question looks for the nearest among a
// million candidates.
func BenchmarkCheckWithoutPairs(b *testing.B) {
	p := large()
	held := 37
	for c, configuration := range p.Configurations {
		configuration.Values[held].Value = value(fmt.Sprintf("serial-%d", c))
	}
	for b.Loop() {
		Check(p, NewSpace(p))
	}
}
