package project

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/schema"
)

// A long file is read in parts when there are processors for it. What comes of
// it is the same as from one part: readings, places, texts and findings.
func TestPartsGiveWhatTheWholeGives(t *testing.T) {
	const rows = 60_000
	long := func(head string, row func(i int) string) string {
		var b strings.Builder
		b.WriteString(head + "\n")
		for i := range rows {
			b.WriteString(row(i) + "\n")
		}
		return b.String()
	}
	plain := func(i int) string {
		return fmt.Sprintf("machine-%03d,job-%d,%d.%02d,monday,%d,%d,ms,ok", i%100, i/100%10, 900+i%211, i%97, 1+i/1000, 1+i)
	}
	const plainHead = "configuration,workload,value,session,repeat,order,unit,outcome"
	inParts := []string{"plain", "without order, with texts", "line ends of two characters", "empty rows", "a column for each workload", "no line end at last"}
	files := map[string]string{
		"plain": long(plainHead, plain),
		"without order, with texts": long("configuration,workload,value,session,outcome,reason,note", func(i int) string {
			value, outcome, reason, note := []string{"12.50", "1e3", "+7.5", "007", "0.000", "-0", "123456789012345678"}[i%7], "ok", "", ""
			if i%11 == 0 {
				outcome, reason = "excluded", fmt.Sprintf("window %d open", i%1000)
			}
			if i%501 == 0 {
				value, outcome = "", "hung"
			}
			if i%13 == 0 {
				note = "die Lüfter № " + strconv.Itoa(i)
			}
			return fmt.Sprintf("machine-%03d,job-%d,%s,%s,%s,%s,%s", i%100, i/100%10, value, []string{"monday", "tuesday", ""}[i/2000%3], outcome, reason, note)
		}),
		"line ends of two characters": strings.ReplaceAll(long(plainHead, plain), "\n", "\r\n"),
		"empty rows": long(plainHead, func(i int) string {
			if i%9 == 0 {
				return []string{"", ",,,,,,,", " , ,,,,,,"}[i/9%3]
			}
			return plain(i)
		}),
		"a column for each workload": long("configuration,session,job-0,job-1 [ms],job-2,job-3,outcome", func(i int) string {
			cell, outcome := fmt.Sprintf("%d.5", i%17), "ok"
			if i%40 == 0 {
				cell, outcome = "", "crashed"
			}
			return fmt.Sprintf("machine-%03d,monday,%d,%d.25,%s,3,%s", i%100, i, i, cell, outcome)
		}),
		"a fault at the end": long(plainHead, func(i int) string {
			if i == rows-5 {
				return "machine-xyz,job-1,1,monday,,,ms,ok"
			}
			return plain(i)
		}),
		"many faults": long(plainHead, func(i int) string {
			if i%3 == 0 {
				return strings.Replace(plain(i), "ms", "W", 1)
			}
			return plain(i)
		}),
		"a quoted cell over two lines": long(plainHead+",note", func(i int) string {
			if i == rows/2 {
				return plain(i) + ",\"two\nlines\""
			}
			return plain(i) + ","
		}),
		"a ragged row": long(plainHead, func(i int) string { return plain(i) + strings.Repeat(",", i/(rows-1)) }),
		"a file of frame times": long(plainHead, func(i int) string {
			if i == rows/2 {
				return "single,game,a.csv,monday,70,,,ok"
			}
			return plain(i)
		}),
		"a conversion with a factor": long(plainHead, func(i int) string {
			if i == rows/2 {
				return "single,per-channel,70,monday,70,,,ok"
			}
			return plain(i)
		}),
		"no line end at last":   strings.TrimSuffix(long(plainHead, plain), "\n"),
		"a character cut short": long(plainHead, plain) + "machine-001,job-1,1,monday,7777,,ms,\xc3\n",
	}
	for name, text := range files {
		t.Run(name, func(t *testing.T) {
			if len(text) < 2<<20 {
				t.Fatalf("the file has only %d bytes: no parts are made of it", len(text))
			}
			folder := manyReadings(t, 1)
			workloads := folder["workloads.yaml"]
			workloads.Data = []byte(strings.Replace(string(workloads.Data), "workloads:\n",
				"workloads:\n  per-channel: {label: Per channel, metric: rate, unit: fps, better: higher, reading: {unit: fps, times: [reading], over: [channels]}}\n", 1))
			folder["results/many.csv"] = &fstest.MapFile{Data: []byte(text)}
			load := func(processors int) ([]string, []schema.Finding) {
				defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
				read, found := schema.Read(folder)
				l := newLoader(read)
				p, more := l.load()
				want := 0
				if processors > 1 && slices.Contains(inParts, name) {
					want = 1
				}
				if l.inParts != want {
					t.Errorf("%d files were read in parts by %d processors, want %d", l.inParts, processors, want)
				}
				var lines []string
				for i := range p.Readings {
					r := p.Readings[i]
					lines = append(lines, fmt.Sprintf("%s %q %q %v", described(p, r), p.Reason(&r), p.Note(&r), p.Place(r)))
				}
				return lines, append(found, more...)
			}
			whole, foundWhole := load(1)
			parts, foundParts := load(2)
			if len(whole) != len(parts) || len(whole) < rows/2 {
				t.Fatalf("%d readings from the whole, %d from its parts", len(whole), len(parts))
			}
			for i := range whole {
				if whole[i] != parts[i] {
					t.Fatalf("reading %d\n%s\n%s", i, whole[i], parts[i])
				}
			}
			if !reflect.DeepEqual(foundWhole, foundParts) {
				t.Errorf("findings\n%v\n%v", foundWhole, foundParts)
			}
		})
	}
}

// What a reading remembers of its cell is the cell.
func TestWrittenIsTheCell(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	cells := []string{"0", "-0", "0.0", "-0.00", "00", "01.5", ".5", "5.", "1e3", "+1", "−4.5", "999999999999999", "9999999999999999", "0.000000000000001",
		"0.0000000000000001", "123456789.012345", "9007199254740993", "-12.50", " 7 ", "1.7e308"}
	for range 20_000 {
		cell := strconv.FormatFloat((r.Float64()-0.3)*float64(uint64(1)<<r.IntN(60)), 'f', r.IntN(17), 64)
		cells = append(cells, cell)
	}
	short := 0
	for _, mark := range []byte{'.', ','} {
		for _, cell := range cells {
			if mark == ',' {
				cell = strings.Replace(cell, ".", ",", 1)
			}
			want, _, ok := schema.ParseNumber(cell, schema.Dialect{Decimal: mark})
			p := &Project{}
			v, w, _, good := p.texts.number(cell, schema.Dialect{Decimal: mark})
			if good != ok || v != want {
				t.Fatalf("%q is read as %v (%v), want %v (%v)", cell, v, good, want, ok)
			}
			one := &Reading{Raw: v, written: w}
			if got := p.Written(one); ok && got != cell {
				t.Fatalf("%q is given back as %q", cell, got)
			}
			if decimals, plain := p.Decimals(one); plain {
				short++
				if _, fraction, _ := strings.Cut(cell, string(mark)); len(fraction) != decimals {
					t.Fatalf("%q has %d decimals, not %d", cell, len(fraction), decimals)
				}
			}
		}
	}
	if short < len(cells)*2/3 {
		t.Errorf("only %d of %d numbers are kept without their text", short, 2*len(cells))
	}
}
