package report

import (
	"math"
	"strings"

	"benchwright/project"
	"benchwright/stats"
	"benchwright/words"
)

// AcrossPair is two reports beside one another: how their baselines stand, and
// what is not matched between them. It claims no effect: whoever swaps a bench
// changes everything on it at once.
type AcrossPair struct {
	A, B int // in Shelf.Reports
	// Unmatched is never empty: at the least the two were measured apart.
	Unmatched []Unmatched
	Standings []Standing
	// Sentence says what must not be concluded.
	Sentence string
}

// Unmatched is one thing in which the benches of two reports differ, or may.
type Unmatched struct {
	// Kind: independent (it differs), unknown (one side does not say), nuisance
	// (it is another by nature: the day).
	Kind, KindText  string
	Label, From, To string
}

// Standing is how the baseline of B stands to that of A under a workload.
type Standing struct {
	Shared int // in Shelf.Workloads
	A, B   Figure
	// Ratio is B over A, of performance turned so that more is better; no verdict.
	// NotComparable on interval scales.
	Ratio Figure
}

// pair compares two reports; ok is false when they have no workload in common.
func (s *Shelf) pair(book *words.Book, a, b int) (AcrossPair, bool) {
	p := AcrossPair{A: a, B: b}
	for i := range s.Workloads {
		x := &s.Workloads[i]
		wa, wb := -1, -1
		for _, u := range x.Uses {
			switch {
			case u.Same && u.Report == a:
				wa = u.Workload
			case u.Same && u.Report == b:
				wb = u.Workload
			}
		}
		if wa < 0 || wb < 0 {
			continue
		}
		p.Standings = append(p.Standings, s.standing(i, a, b, wa, wb))
	}
	if len(p.Standings) == 0 {
		return p, false
	}
	p.Unmatched = s.unmatched(book, &s.Reports[a], &s.Reports[b])
	differ, unknown := 0, 0
	for _, u := range p.Unmatched {
		switch u.Kind {
		case "independent":
			differ++
		case "unknown":
			unknown++
		}
	}
	parts := []string{book.Say("across.never-one")}
	if differ > 0 {
		parts = append(parts, book.Count("across.differ", differ))
	}
	if unknown > 0 {
		parts = append(parts, book.Count("across.unknown", unknown))
	}
	p.Sentence = strings.Join(parts, " ")
	return p, true
}

// standing holds the baseline of b against that of a. The interval is Fieller's,
// or the log ratio's where that is unbounded, as within a report; the two
// benches share no session that could be taken out.
func (s *Shelf) standing(shared, a, b, wa, wb int) Standing {
	ra, rb := &s.Reports[a], &s.Reports[b]
	ka, kb := ra.work, rb.work
	sa, sb := &ka.samples[ra.Baseline][wa], &kb.samples[rb.Baseline][wb]
	out := Standing{Shared: shared, A: orAbsent(ka, sa, ra.Baseline, wa), B: orAbsent(kb, sb, rb.Baseline, wb)}
	w := ra.Project.Workloads[wa]
	if w.Scale == project.IntervalScale {
		out.Ratio = Figure{State: NotComparable, Remark: ka.say.Say("figure.interval-scale")}
		return out
	}
	if !sa.usable || !sb.usable {
		out.Ratio = Figure{State: NotComparable}
		return out
	}
	num, den := sb, sa
	if w.Turned {
		num, den = sa, sb
	}
	f := Figure{Value: num.centre / den.centre, N: min(sa.Summary.N, sb.Summary.N), Of: "readings"}
	if !isFinite(f.Value) || f.Value == 0 {
		out.Ratio = Figure{State: NotComparable, Remark: ka.say.Say("figure.out-of-range")}
		return out
	}
	e := stats.Estimate{Value: math.Log(f.Value)}
	state := compareSpread([]part{{sa, 1}, {sb, -1}})
	if state == Measured || state == SpreadBorrowed {
		e = sumOf([]stats.Estimate{{Value: e.Value, SE: num.se, DF: num.df}, {SE: den.se, DF: den.df}})
		ka.fieller(&f, num.centre, den.centre, num.se, den.se, e.DF)
	}
	step := math.Hypot(ka.step[wa]/sa.centre, kb.step[wb]/sb.centre)
	ka.finishRatio(&f, e, state, step)
	if f.HasValue() {
		ka.writeStanding(&f, step)
	}
	// Nothing may be claimed of a difference between benches, not even its sign
	// as an effect.
	f.Verdict, f.P, f.HasP = NoVerdict, 0, false
	out.Ratio = f
	return out
}

func orAbsent(k *working, s *sample, c, w int) Figure {
	if s.Summary.N == 0 {
		return k.absent(c, w)
	}
	return k.centre(s, w)
}

// writeStanding writes a ratio as a multiple, "1.12 ×", whatever its size: a
// signed percentage would read like an effect.
func (k *working) writeStanding(f *Figure, step float64) {
	d := significant(f.Value, 2)
	if by, ok := decimals((f.High - f.Low) / 2); ok && f.Confidence > 0 {
		d = by
	}
	if by, ok := stepDecimals(step * f.Value); ok {
		d = min(d, by)
	}
	d = max(0, min(d, max(significant(f.Value, 4), 0)))
	f.Short = k.num.plain(f.Value, d)
	f.Text = f.Short + nbsp + times
	f.Range = ""
	if f.Confidence > 0 {
		f.Range = k.span(k.num.plain(f.Low, d), k.num.plain(f.High, d)+nbsp+times)
	}
}

// unmatched lists what is not the same between the baselines of two reports:
// the bench first, then what differs, then what one side does not say, then the
// days. Factors are the same when they have the same id, or the same label.
func (s *Shelf) unmatched(book *words.Book, a, b *Shelved) []Unmatched {
	var differ, unknown []Unmatched
	put := func(label, from, to string, known bool) {
		u := Unmatched{Kind: "independent", Label: label, From: orNothing(book, from), To: orNothing(book, to)}
		if !known {
			u.Kind = "unknown"
			unknown = append(unknown, u)
			return
		}
		differ = append(differ, u)
	}
	text := func(key, from, to string) {
		if from != to || from == "" {
			put(book.Say(key), from, to, from != "" && to != "")
		}
	}
	pa, pb := a.Project, b.Project
	text("across.bench", pa.BenchLabel, pb.BenchLabel)
	if pa.BenchLabel == pb.BenchLabel && pa.BenchDescription != pb.BenchDescription {
		text("across.bench.description", pa.BenchDescription, pb.BenchDescription)
	}
	taken := map[int]bool{}
	for _, fa := range pa.Factors {
		fb := counterpart(pb, fa)
		if fb == nil {
			put(fa.Label, levelsText(book, a, fa), "", false)
			continue
		}
		taken[fb.Index] = true
		switch match := matched(a, b, fa, fb); {
		case match == matchSame:
		default:
			put(fa.Label, levelsText(book, a, fa), levelsText(book, b, fb), match == matchDiffers)
		}
	}
	for _, fb := range pb.Factors {
		if !taken[fb.Index] {
			put(fb.Label, "", levelsText(book, b, fb), false)
		}
	}
	// A test under one id that is another one in the other report.
	for _, wa := range pa.Workloads {
		wb := pb.Workload(wa.ID)
		if wb == nil {
			continue
		}
		for _, d := range project.DefinitionDifferences(wa, wb, false) {
			label := book.Say("changes.on", "what", book.Say("workload.label."+definitionLabels[d.Key]), "workload", wa.Label)
			put(label, d.A, d.B, d.A != "" && d.B != "")
		}
	}
	if people(pa) != people(pb) {
		put(book.Say("across.by"), people(pa), people(pb), people(pa) != "" && people(pb) != "")
	}
	out := append(differ, unknown...)
	out = append(out, Unmatched{Kind: "nuisance", Label: book.Say("across.days"), From: days(book, a), To: days(book, b)})
	for i := range out {
		out[i].KindText = book.Say("across.kind." + out[i].Kind)
	}
	return out
}

// counterpart finds the factor of the other report that is the same thing.
func counterpart(p *project.Project, f *project.Factor) *project.Factor {
	if same := p.Factor(f.ID); same != nil {
		return same
	}
	for _, x := range p.Factors {
		if strings.EqualFold(x.Label, f.Label) {
			return x
		}
	}
	return nil
}

type match uint8

const (
	matchSame match = iota
	matchDiffers
	matchUnknown
)

// matched says whether the baselines of two reports have the same level of a
// factor, in every session in which they were read. A tolerance counts only
// when both reports have it.
func matched(a, b *Shelved, fa, fb *project.Factor) match {
	result := matchSame
	for _, va := range a.Space.ValuesOf(a.Baseline, fa.Index) {
		for _, vb := range b.Space.ValuesOf(b.Baseline, fb.Index) {
			if va.State != project.Known || vb.State != project.Known {
				return matchUnknown
			}
			if va.Numeric != vb.Numeric { // one report declared numbers, the other words
				if va.Text != vb.Text || fa.Unit.Symbol+fb.Unit.Symbol != "" {
					result = matchDiffers
				}
				continue
			}
			there, comparable := vb.Value, true
			if va.Numeric && vb.Numeric {
				there.Number, comparable = fb.Unit.Convert(vb.Number, fa.Unit)
			}
			back := va.Value
			if back.Numeric && comparable {
				back.Number, _ = fa.Unit.Convert(va.Number, fb.Unit)
			}
			if !comparable || !project.Same(fa, va.Value, there) || !project.Same(fb, back, vb.Value) {
				result = matchDiffers
			}
		}
	}
	return result
}

// levelsText writes what a factor was in a report's baseline, in the shelf's
// language; empty where nobody says.
func levelsText(book *words.Book, r *Shelved, f *project.Factor) string {
	var parts []string
	for _, v := range r.Space.ValuesOf(r.Baseline, f.Index) {
		if v.State != project.Known {
			continue
		}
		value := v.Value
		if value.Numeric {
			value.Text = strings.Replace(value.Text, ".", book.Decimal, 1)
		}
		parts = append(parts, project.FormatLevel(f, value))
	}
	return strings.Join(parts, ", ")
}

func people(p *project.Project) string {
	var names []string
	for _, a := range p.Authors {
		names = append(names, a.Name)
	}
	return strings.Join(names, ", ")
}

// days writes when a report's readings were taken.
func days(book *words.Book, r *Shelved) string {
	c := r.Counts
	switch {
	case c.FirstDate == "":
		return book.Say("across.nothing")
	case c.FirstDate == c.LastDate:
		return DateText(book, c.FirstDate)
	}
	return book.Say("page.range", "low", DateText(book, c.FirstDate), "high", DateText(book, c.LastDate))
}
