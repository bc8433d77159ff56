package report

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"

	"benchwright/project"
)

func TestARecordReadsBackAsItWas(t *testing.T) {
	for name, r := range map[string]*Report{"sample": sampleReport(t), "large": large(8, 3, 4).build(t)} {
		p := r.Publication()
		p.MadeBy, p.BaseAddress, p.Theme = "1.2.3", "https://bench.example/", "plain"
		written := p.JSON()
		if !json.Valid(written) {
			t.Fatalf("%s: the record is no JSON", name)
		}
		back, err := ReadPublication(written)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if again := back.JSON(); !bytes.Equal(written, again) {
			t.Errorf("%s: the record changes when it is read and written again", name)
		}
	}
}

// clone copies what the tests change.
func (m *made) clone() *made {
	p := *m.Project
	p.Readings = append([]project.Reading{}, m.Readings...)
	p.Corrections = append([]project.Correction{}, m.Corrections...)
	return &made{&p}
}

func TestARecordDoesNotDependOnTheOrderOfRows(t *testing.T) {
	m := large(6, 3, 4)
	r := m.build(t).Publication()
	want := r.JSON()
	other := m.clone()
	random := rand.New(rand.NewPCG(5, 6))
	random.Shuffle(len(other.Readings), func(i, j int) {
		other.Readings[i], other.Readings[j] = other.Readings[j], other.Readings[i]
	})
	o := other.build(t).Publication()
	if !bytes.Equal(want, o.JSON()) {
		t.Error("the record changes with the order of the rows")
	}
}

func TestAnUnfitRecordIsRefused(t *testing.T) {
	r := large(2, 1, 2).build(t).Publication()
	good := string(r.JSON())
	for name, c := range map[string]struct{ text, want string }{
		"empty":         {"", "not what benchwright writes"},
		"a list":        {"[]", "not what benchwright writes"},
		"cut short":     {good[:len(good)/2], "not what benchwright writes"},
		"later version": {strings.Replace(good, `"version": 1`, `"version": 2`, 1), "has version 2"},
		"no version":    {"{}", "has version 0"},
		"unknown key":   {strings.Replace(good, `"title":`, `"titel": "x", "title":`, 1), "titel"},
		"more after it": {good + "{}", "not what benchwright writes"},
		"number beyond": {strings.Replace(good, `"confidence": 0.95`, `"confidence": 1e999`, 1), "not what benchwright writes"},
		"unequal lists": {strings.Replace(good, `"repeats": [1]`, `"repeats": [1, 2]`, 1), "unequal length in entry 1"},
	} {
		if _, err := ReadPublication([]byte(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", name, err, c.want)
		}
	}
}

// FuzzComparingWithAnyRecord holds a report against records that an attacker, or
// an editor's slip, may have left in the old site.
func FuzzComparingWithAnyRecord(f *testing.F) {
	r := large(2, 2, 2).build(f)
	p := r.Publication()
	f.Add(p.JSON())
	f.Add([]byte(`{"version":1,"readings":[{"configuration":"c0","workload":"w0","session":"s1","repeats":[1,1,-3],"outcomes":["ok","?","hung"],"values":[1e308,null,-0]}]}`))
	f.Add([]byte(`{"version":1,"cells":[{"configuration":"c0","workload":"w0","centre":{"state":"measured","value":1e-320,"low":1e308,"high":-1e308,"confidence":2}}]}`))
	f.Add([]byte(`{"version":1,"confidence":-1e300,"workloads":[{"id":"w0","unit":"s","better":"lower","scale":"ratio"}],"questions":[{"id":"clock","factor":"clock","from":"100","to":"400","answerable":true,"overall":{"state":"measured","value":0,"verdict":"nonsense"}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		old, err := ReadPublication(data)
		if _, short := CompareRecord(data, r); err == nil && short != nil {
			t.Errorf("without the common lines: %v", short)
		}
		if err != nil {
			return
		}
		c := Compare(old, r)
		if c == nil || len(c.Turned)+len(c.Sentences) == 0 {
			t.Error("a comparison says nothing at all")
		}
		if again := Compare(old, r); len(again.Figures) != len(c.Figures) || len(again.New) != len(c.New) {
			t.Error("two comparisons disagree")
		}
	})
}
