package design

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"benchwright/project"
)

var (
	makeBaseline = regexp.MustCompile(`^make "([^"]+)" the baseline`)
	runPlanned   = regexp.MustCompile(`; run "([^"]+)", which`)
	runOneLike   = regexp.MustCompile(`; run one like "([^"]+)" with ([^(,]+?)(?: \((.+) will follow\))?, which`)
)

// follow does to the letter what a remedy of baseline-odd-one-out says, and
// reports whether it says to do anything. New readings are of workload 0.
func (b *bench) follow(t *testing.T, remedy string) bool {
	t.Helper()
	read := func(id string) {
		if len(b.p.Readings) > 0 {
			b.read(id, 0, 0, 10)
		}
	}
	if m := makeBaseline.FindStringSubmatch(remedy); m != nil {
		b.p.Baseline = b.config(m[1])
		return true
	}
	if m := runPlanned.FindStringSubmatch(remedy); m != nil {
		read(m[1])
		return true
	}
	m := runOneLike.FindStringSubmatch(remedy)
	if m == nil {
		return false
	}
	c := b.configuration("as-told")
	copy(c.Values, b.p.Configurations[b.config(m[1])].Values)
	for _, list := range m[2:] {
		for word := range strings.SplitSeq(strings.ReplaceAll(list, " and ", ", "), ", ") {
			if name, text, ok := strings.Cut(word, " "); ok {
				text, _, _ = strings.Cut(text, nbsp)
				c.Values[b.index(name)].Value = value(text)
			}
		}
	}
	read("as-told")
	return true
}

func TestTheRemedyOfAnOddBaselineNamesWhatClearsIt(t *testing.T) {
	limit := func(b *bench, factor string, most float64) {
		f := b.p.Factors[b.index(factor)]
		f.Numeric, f.Limit = true, project.Limit{HasMost: true, Most: most, Source: "invented data sheet"}
	}
	// Each of the three differs from each other in both processor and memory.
	apart := func() *bench {
		b := newBench()
		b.factor("processor", project.Studied)
		b.factor("memory", project.Studied)
		b.factor("cache", project.Follows, "processor")
		b.factor("firmware", project.Held)
		b.workload("encode")
		b.session("first")
		b.configuration("base", "processor=300", "memory=32", "cache=64", "firmware=1")
		b.configuration("fast", "processor=500", "memory=64", "cache=256", "firmware=1")
		b.configuration("wide", "processor=400", "memory=128", "cache=128", "firmware=1")
		return b
	}
	for _, c := range []struct {
		name   string
		change func(*bench)
		want   string
		stays  bool
	}{
		{"none would do", func(*bench) {},
			`no other configuration would be a fairer baseline; run one like "base" with processor 500 (cache 256 will follow), which differs from "base" in one factor alone`, false},
		{"two would do, one of them for more", func(b *bench) {
			b.configuration("wider", "processor=400", "memory=256", "cache=128", "firmware=1")
			b.configuration("wide-and-fast", "processor=500", "memory=128", "cache=256", "firmware=1")
		}, `make "wide" the baseline: "wider" and "wide-and-fast" differ from it in one factor alone`, false},
		{"the one that would do was never read", func(b *bench) {
			for _, id := range []string{"base", "fast", "wide"} {
				b.read(id, 0, 0, 10)
			}
			b.configuration("planned", "processor=300", "memory=64", "cache=64", "firmware=1")
		}, `no other configuration would be a fairer baseline; run "planned", which differs from "base" in one factor alone`, false},
		{"all others share what the baseline has not", func(b *bench) {
			b.p.Configurations[0].Values[3].Value = value("2")
		}, `no other configuration would be a fairer baseline; run one like "base" with firmware 1, which differs from "base" in one factor alone`, false},
		{"the ones that would do lie beyond a limit", func(b *bench) {
			limit(b, "memory", 100)
			b.configuration("wide-and-fast", "processor=500", "memory=128", "cache=256", "firmware=1")
		}, `no other configuration would be a fairer baseline; run one like "base" with processor 500 (cache 256 will follow), which differs from "base" in one factor alone`, false},
		{"the first run would lie beyond a limit", func(b *bench) { limit(b, "cache", 200) },
			`no other configuration would be a fairer baseline; run one like "base" with memory 64, which differs from "base" in one factor alone`, false},
		{"every run would lie beyond a limit", func(b *bench) {
			limit(b, "cache", 100)
			limit(b, "memory", 50)
		}, `no other configuration would be a fairer baseline, and what one factor alone would take lies beyond the maker's limit ` +
			`(cache 256, limit 100; memory 64, limit 50; cache 128, limit 100; memory 128, limit 50), so it is not proposed; read each figure as that of all that it changes`, true},
	} {
		b := apart()
		c.change(b)
		found := of("baseline-odd-one-out", check(b.p))
		if len(found) != 1 || found[0].Remedy != c.want {
			t.Errorf("%s:\n%s\nwant %s", c.name, print(found), c.want)
			continue
		}
		if b.follow(t, found[0].Remedy) == c.stays {
			t.Errorf("%s: whether something is proposed is %v", c.name, !c.stays)
		}
		if again := of("baseline-odd-one-out", check(b.p)); len(again) > 0 != c.stays {
			t.Errorf("%s: with the remedy followed: %s", c.name, print(again))
		}
	}
}

// On benches made at random, too, the remedy clears the finding when it is
// followed to the letter, and names nothing beyond a limit.
func TestFollowingTheRemedyClearsAnOddBaseline(t *testing.T) {
	said := map[string]int{}
	for seed := range uint64(600) {
		r := rand.New(rand.NewPCG(seed, 21))
		b := newBench()
		factors := 2 + r.IntN(3)
		for f := range factors {
			role := project.Studied
			if r.IntN(3) == 0 {
				role = project.Held
			}
			factor := b.factor(fmt.Sprintf("f%d", f), role)
			if factor.Numeric = true; r.IntN(4) == 0 {
				factor.Limit = project.Limit{HasMost: true, Most: 2, Source: "invented data sheet"}
			}
		}
		b.factor("follower", project.Follows, "f0")
		b.workload("encode")
		b.session("first")
		for c := range 3 + r.IntN(4) {
			var set []string
			for f := range factors {
				set = append(set, fmt.Sprintf("f%d=%d", f, 1+r.IntN(3)))
			}
			set = append(set, "follower=1"+strings.TrimPrefix(set[0], "f0="))
			id := fmt.Sprintf("c%d", c)
			b.configuration(id, set...)
			if seed%2 == 0 && r.IntN(5) > 0 {
				b.read(id, 0, 0, 10)
			}
		}
		found := of("baseline-odd-one-out", check(b.p))
		if len(found) == 0 {
			continue
		}
		remedy := found[0].Remedy
		before := len(b.p.Configurations)
		if !b.follow(t, remedy) {
			said["nothing"]++
			if !strings.Contains(remedy, "beyond the maker's limit (") {
				t.Errorf("seed %d: %s", seed, remedy)
			}
			continue
		}
		said[strings.Join(strings.Fields(remedy)[:2], " ")]++
		s := NewSpace(b.p)
		if again := of("baseline-odd-one-out", Check(b.p, s)); len(again) > 0 {
			t.Errorf("seed %d: %s\nfollowed, it gives: %s", seed, remedy, print(again))
		}
		if makeBaseline.MatchString(remedy) && len(s.Excesses(b.p.Baseline)) > 0 || len(b.p.Configurations) > before && len(s.Excesses(before)) > 0 {
			t.Errorf("seed %d: what is proposed lies beyond a limit: %s", seed, remedy)
		}
	}
	for _, what := range []string{"make \"c1\"", "no other", "nothing"} {
		if said[what] < 3 {
			t.Errorf("%s was said %d times: too little to go by, of %v", what, said[what], said)
		}
	}
}
