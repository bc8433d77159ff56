package report

import (
	"bytes"
	"cmp"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// bothWays compares with a record as it is written and with all of it read, and
// wants the same of both.
func bothWays(t *testing.T, old, now *Report) *Changes {
	t.Helper()
	text := recordOf(old)
	if got := old.Record(Imprint{}); !bytes.Equal(got, text) {
		t.Fatal("the record is not the publication's JSON")
	}
	read, err := ReadPublication(text)
	if err != nil {
		t.Fatal(err)
	}
	want := Compare(read, now)
	got, err := CompareRecord(text, now)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("beside the common lines:\n%s\nread as a whole:\n%s", got.said(), want.said())
	}
	return got
}

// Whatever was added, withdrawn, corrected, renamed or put in another order, what
// is said does not depend on how the record was read.
func TestCommonLinesSayNothing(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	moved := 0
	for range 60 {
		m := large(2+random.IntN(6), 1+random.IntN(3), 1+random.IntN(4))
		other := m.clone()
		for range random.IntN(4) {
			i := random.IntN(len(other.Readings))
			switch rd := &other.Readings[i]; random.IntN(5) {
			case 0:
				rd.Value *= 1 + 0.1*random.NormFloat64()
			case 1:
				if len(other.Readings) > 2 {
					other.Readings = slices.Delete(other.Readings, i, i+1)
				}
			case 2:
				more := *rd
				more.Repeat, more.Order = 77+int32(random.IntN(5)), 1000
				other.Readings = append(other.Readings, more)
			case 3:
				c := *other.Configurations[rd.Configuration]
				c.Label += " again"
				other.Configurations[rd.Configuration] = &c
			case 4:
				// As if it had been another configuration that was read.
				rd.Configuration = int32(random.IntN(len(other.Configurations)))
				rd.Repeat = 90 + int32(i)
			}
		}
		if c := bothWays(t, m.build(t), other.build(t)); !c.Nothing {
			moved++
		}
	}
	if moved < 20 {
		t.Errorf("only %d of 60 editions differ: too few to tell", moved)
	}
	sample := sampleReport(t)
	if c := bothWays(t, sample, sample); !c.Nothing {
		t.Errorf("changes where there are none: %s", c.said())
	}
}

// A list of which all, nothing, the first or the last line is common, and
// records that are laid out in other ways.
func TestRecordsLaidOutInOtherWays(t *testing.T) {
	m := large(3, 2, 2)
	now := m.build(t)
	text := string(recordOf(now))
	for name, old := range map[string]string{
		"as written":         text,
		"Windows line ends":  strings.ReplaceAll(text, "\n", "\r\n"),
		"on one line":        strings.ReplaceAll(text, "\n", " "),
		"no space in front":  strings.ReplaceAll(text, "\n  {", "\n{"),
		"other spaces":       strings.ReplaceAll(text, `"n": `, `"n":  `),
		"an empty line":      strings.Replace(text, "\n  {\"configuration\"", "\n\n  {\"configuration\"", 1),
		"two lines in one":   strings.Replace(text, "},\n  {\"configuration\"", "}, {\"configuration\"", 1),
		"a bracket on a row": strings.ReplaceAll(text, "}],\n\"readings\"", "}\n],\n\"readings\""),
	} {
		if old == text && name != "as written" {
			t.Errorf("%s: the record is as it was", name)
		}
		read, err := ReadPublication([]byte(old))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want := Compare(read, now)
		if got, err := CompareRecord([]byte(old), now); err != nil || !reflect.DeepEqual(got, want) || !got.Nothing {
			t.Errorf("%s: %v %s", name, err, got.said())
		}
	}
	for name, old := range map[string]string{
		"cut off":        text[:len(text)-30],
		"cut in a list":  text[:strings.Index(text, "\n\"readings\"")],
		"another key":    strings.Replace(text, "\"readings\"", "\"read\"", 1),
		"goes on":        text + "{}",
		"a comma less":   strings.Replace(text, "}],\n\"readings\"", "}]\n\"readings\"", 1),
		"another record": strings.Replace(text, "\"version\": 1", "\"version\": 2", 1),
	} {
		if _, err := CompareRecord([]byte(old), now); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// The record with the publisher's words is the publication's JSON with them, the
// first time, the second time, and when they take more room than was kept.
func TestRecordWithThePublishersWords(t *testing.T) {
	long := strings.Repeat("a long name ", 1000)
	for _, words := range [][]Imprint{
		{{"1.2", "here", "job-card", "https://bench.example/", true}, {"1.3", "", "", "", false}, {}},
		{{long, "here", long, long, false}, {"1.2", "", "job-card", "", true}},
	} {
		r := large(3, 2, 2).build(t)
		var first, kept []byte
		for i, x := range words {
			p := r.Publication()
			p.MadeBy, p.Arithmetic, p.Theme, p.BaseAddress, p.Shelf = x.MadeBy, cmp.Or(x.Arithmetic, p.Arithmetic), x.Theme, x.BaseAddress, x.Shelf
			got := r.Record(x)
			if !bytes.Equal(got, p.JSON()) {
				t.Errorf("record %d is not the publication's JSON", i)
			}
			if i == 0 {
				first, kept = got, bytes.Clone(got)
			}
		}
		if !bytes.Equal(first, kept) {
			t.Error("a second record changed the first")
		}
	}
}
