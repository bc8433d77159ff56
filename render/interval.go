package render

import (
	"math"

	"benchwright/report"
)

// span is the range of values that a set of interval marks shares, so that
// their lengths can be compared by eye. Ratios are drawn on a log scale, since
// twice and half are the same step apart.
type span struct {
	low, high float64
	log       bool
	set       bool
}

// drawable says whether a figure has a place on the span.
func (s *span) drawable(f report.Figure) bool {
	switch f.State {
	case report.Measured, report.SpreadBorrowed, report.SpreadUnknown:
		return !math.IsNaN(f.Value) && !math.IsInf(f.Value, 0) && (!s.log || f.Value > 0)
	}
	return false
}

// limits gives the ends of a figure's interval, or its value twice.
func (s *span) limits(f report.Figure) (low, high float64, interval bool) {
	if f.Confidence > 0 && f.Low < f.High && !math.IsInf(f.Low, 0) && !math.IsInf(f.High, 0) && (!s.log || f.Low > 0) {
		return f.Low, f.High, true
	}
	return f.Value, f.Value, false
}

// include widens the span for a value.
func (s *span) include(v float64) {
	if !s.set {
		s.low, s.high, s.set = v, v, true
		return
	}
	s.low, s.high = min(s.low, v), max(s.high, v)
}

// see widens the span for a figure.
func (s *span) see(f report.Figure) {
	if s.drawable(f) {
		low, high, _ := s.limits(f)
		s.include(low)
		s.include(high)
	}
}

// at gives the place of v on a width, with a margin of four units.
func (s *span) at(v, width float64) float64 {
	low, high := s.low, s.high
	if s.log {
		low, high, v = math.Log(low), math.Log(high), math.Log(v)
	}
	if high-low < 1e-12 {
		return width / 2
	}
	const margin = 4
	return margin + (v-low)/(high-low)*(width-2*margin)
}

// size is how large an interval is drawn; cap is the half height of the
// whisker's ends.
type size struct {
	width, height, dot, cap float64
	open                    string
}

var (
	// small stands under the number of a table cell.
	small = size{72, 8, 2.2, 0, `<svg class="iv" viewBox="0 0 72 8" width="72" height="8" aria-hidden="true" focusable="false">`}
	// broad has a column of its own.
	broad = size{160, 14, 3.4, 4.5, `<svg class="iv broad" viewBox="0 0 160 14" width="160" height="14" aria-hidden="true" focusable="false">`}
	// large stands beside an answer.
	large = size{240, 24, 5, 6, `<svg class="iv wide" viewBox="0 0 240 24" width="240" height="24" aria-hidden="true" focusable="false">`}
)

// interval draws a figure as a dot with a whisker, and a line at "no
// difference". The figure stands beside it in words, so the drawing is hidden
// from readers aloud.
func (m *markup) interval(f report.Figure, s *span, none float64, as size) *markup {
	if !s.set || !s.drawable(f) {
		return m
	}
	width, height, dot, open := as.width, as.height, as.dot, as.open
	middle := height / 2
	m.raw(open)
	if none >= s.low && none <= s.high {
		m.raw(`<path class="none" d="M`).coordinate(s.at(none, width)).raw(` 0V`).coordinate(height).raw(`"/>`)
	}
	low, high, has := s.limits(f)
	if has {
		a, b := s.at(low, width), s.at(high, width)
		m.raw(`<path class="whisker" d="M`).coordinate(a).raw(` `).coordinate(middle).raw(`H`).coordinate(b)
		for _, end := range []float64{a, b} {
			// An end that lies under the dot would only make a blot of it.
			if as.cap > 0 && math.Abs(end-s.at(f.Value, width)) > dot {
				m.raw(`M`).coordinate(end).raw(` `).coordinate(middle - as.cap).raw(`v`).coordinate(2 * as.cap)
			}
		}
		m.raw(`"/>`)
	}
	x := s.at(f.Value, width)
	switch {
	case !has:
		m.raw(`<circle class="open" cx="`)
	case f.Verdict == report.Worse:
		// A lozenge: worse differs from better in shape, not in colour alone.
		m.raw(`<path class="worse" d="M`).coordinate(x).raw(` `).coordinate(middle - dot - 1).raw(`l`).coordinate(dot + 1).raw(` `).coordinate(dot + 1).
			raw(`l-`).coordinate(dot + 1).raw(` `).coordinate(dot + 1).raw(`l-`).coordinate(dot + 1).raw(` -`).coordinate(dot + 1).raw(`z"/></svg>`)
		return m
	case f.Verdict == report.NoDifferenceSeen:
		m.raw(`<circle class="same" cx="`)
	default:
		m.raw(`<circle class="better" cx="`)
	}
	return m.coordinate(x).raw(`" cy="`).coordinate(middle).raw(`" r="`).coordinate(dot).raw(`"/></svg>`)
}
