package project

import (
	"cmp"
	"fmt"
	"math"

	"benchwright/schema"
)

// fewestCopied is how many rows alike are no chance any more.
const fewestCopied = 3

// copiedReadings warns of a result file all of whose readings stand in another
// one, in the same order: a copy, which counts every reading twice and makes
// every interval too narrow. Readings that are all the same number are left
// alone, as a capped frame rate gives them evening after evening.
//
// It is called while the readings of each file still stand together.
func (l *loader) copiedReadings() {
	files := l.readingsByFile()
	first := map[alike][]block{} // by the first reading of the block looked for
	for _, b := range files {
		if b.rows >= fewestCopied && !b.constant {
			b.power = power(b.to - b.from)
			k := alikeOf(&l.p.Readings[b.from])
			first[k] = append(first[k], b)
		}
	}
	if len(files) < 2 || len(first) == 0 {
		return
	}
	sums := l.sums()
	found := map[int32]bool{}
	for _, in := range files {
		for i := in.from; i < in.to; i++ {
			for _, b := range first[alikeOf(&l.p.Readings[i])] {
				if b.file == in.file || found[b.file] || b.to-b.from > in.to-i || b.to-b.from == in.to-in.from && l.longerName(in.file, b.file) {
					continue
				}
				if sums.of(b.from, b.to, b.power) != sums.of(i, i+b.to-b.from, b.power) || !l.sameBlock(b, i) {
					continue
				}
				found[b.file] = true
				l.copiedFile(b, i)
			}
		}
	}
}

// longerName tells the copy of two files that are the same: night-copy.csv
// rather than night.csv, otherwise the later one.
func (l *loader) longerName(a, b int32) bool {
	return cmp.Or(cmp.Compare(len(l.p.ResultFiles[a]), len(l.p.ResultFiles[b])), cmp.Compare(a, b)) > 0
}

func (l *loader) copiedFile(b block, at int) {
	p := l.p
	file, other := p.ResultFiles[b.file], p.ResultFiles[p.Readings[at].File]
	l.reportAt("copied-readings", schema.Warning, p.Place(p.Readings[b.from]), 0,
		fmt.Sprintf("every reading of this file (%s) stands in %s too, in the same order, and counts twice", countOf(b.rows, "row"), other),
		fmt.Sprintf("take %s out if it is a copy; if the readings were really taken again, number the repeats in a column repeat of both files", file),
		schema.Related{Place: p.Place(p.Readings[at]), Message: "the same readings from here on"})
}

// block is the readings of one result file.
type block struct {
	file     int32
	from, to int // in Project.Readings
	rows     int
	constant bool   // no two values differ
	power    uint64 // of sumBase, for the length
}

func (l *loader) readingsByFile() []block {
	var out []block
	for i := range l.p.Readings {
		r := &l.p.Readings[i]
		if n := len(out); n == 0 || out[n-1].file != r.File {
			out = append(out, block{file: r.File, from: i, to: i + 1, rows: 1, constant: true})
			continue
		}
		b, before := &out[len(out)-1], &l.p.Readings[i-1]
		b.to = i + 1
		if r.Line != before.Line {
			b.rows++
		}
		b.constant = b.constant && r.HasValue == before.HasValue && r.Value == before.Value
	}
	return out
}

// alike is what makes two readings the same one.
type alike struct {
	configuration, workload, session int32
	outcome                          Outcome
	value                            uint64
}

func alikeOf(r *Reading) alike {
	k := alike{r.Configuration, r.Workload, r.Session, r.Outcome, 0}
	if r.HasValue {
		k.value = math.Float64bits(r.Value)
	}
	return k
}

// sameBlock compares reading by reading. Repeats that both files number are two
// readings when they differ.
func (l *loader) sameBlock(b block, at int) bool {
	for i := b.from; i < b.to; i++ {
		x, y := &l.p.Readings[i], &l.p.Readings[at+i-b.from]
		if alikeOf(x) != alikeOf(y) || x.Repeat > 0 && y.Repeat > 0 && x.Repeat != y.Repeat {
			return false
		}
	}
	return true
}

// sums are running sums over the readings, from which that of any block
// follows at once: comparing every block with every place would take hours for
// long files that are nearly constant.
type sums []uint64

// sumBase is odd and of many digits; the sums are modulo 2⁶⁴.
const sumBase = 0x9e3779b97f4a7c15

func (l *loader) sums() sums {
	s := make(sums, len(l.p.Readings)+1)
	for i := range l.p.Readings {
		k := alikeOf(&l.p.Readings[i])
		x := k.value
		for _, v := range [...]int32{k.configuration, k.workload, k.session, int32(k.outcome)} {
			x = (x ^ x>>29 ^ uint64(uint32(v))) * 0xbf58476d1ce4e5b9
		}
		s[i+1] = s[i]*sumBase + (x ^ x>>32)
	}
	return s
}

// of is the sum of a block; power is that of its length.
func (s sums) of(from, to int, power uint64) uint64 { return s[to] - s[from]*power }

// power is sumBase to the power of n.
func power(n int) uint64 {
	p, b := uint64(1), uint64(sumBase)
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			p *= b
		}
		b *= b
	}
	return p
}
