// Package chart draws the charts of a report.
//
// In: a Chart, whose numbers and texts the report has decided. Out: a drawn SVG
// for the page, a complete SVG file, the options of the interactive version,
// and the same data as CSV. It computes no figure and imports no other package
// of this module but spreadsheet.
//
// The drawing has no width of its own: across, everything is placed in per
// cent, down in em, so that it fits a phone, a desk and a doubled text size
// with text that stays readable. It carries its title and description, and no
// style: colours come from the page's style sheet by class (see CSS).
//
//	c := chart.Chart{ID: "transcode", Title: "Video transcode", Kind: chart.Bars, Rows: rows}
//	svg := c.SVG()
package chart

import (
	"encoding/csv"
	"html"
	"math"
	"strconv"
	"strings"

	"benchwright/render/spreadsheet"
)

// Kind is what a chart shows.
type Kind uint8

const (
	// Bars starts at nought: for ratio scales.
	Bars Kind = iota
	// Dots has a mark for the value and no bar: for interval scales, and
	// wherever nought means nothing.
	Dots
	// Pairs has two marks per row, from and to, with an arrow between.
	Pairs
	// Response has a numeric factor across and the metric upwards.
	Response
)

// Mark is what a row is besides its value; every one shows in shape as well as
// in colour.
type Mark string

const (
	Plain    Mark = ""
	Baseline Mark = "baseline" // what the others are compared with: outlined
	Tied     Mark = "tied"     // cannot be told from the baseline: dashed
	Failed   Mark = "failed"   // no value; Text says why
	Better   Mark = "better"   // pairs: the change helped
	Worse    Mark = "worse"    // pairs: the change harmed
)

// Row is one line of a chart. Values are in the chart's unit.
type Row struct {
	Label string
	Link  string // relative to the page; empty for none
	Mark  Mark
	// Value with its interval. Failed rows have none.
	HasValue, HasInterval bool
	Value, Low, High      float64
	// From is the other side of a pair.
	HasFrom bool
	From    float64
	// Readings are single readings.
	Readings []float64
	// Text is the value as the report writes it, Range its interval in words and
	// Single the single readings as written; the interactive chart tells the last
	// two of the row that is pointed at.
	Text, Range string
	Single      []string
}

// Line is a line across the whole chart: baseline, target.
type Line struct {
	At    float64
	Label string
	Class string // baseline or target
}

// Series is one line of a Response chart.
type Series struct {
	Label  string
	Points []Point
	Curve  []Point // fitted; drawn without marks
}

// Point is a value at a level of the factor.
type Point struct {
	X, Y, Low, High float64
	HasInterval     bool
	Label           string // configuration
	Text, Range     string // as of a row
}

// Chart is a chart before it is drawn.
type Chart struct {
	// ID is unique on a page, and a word of letters, digits and hyphens.
	ID string
	// Title and Description are read to those who cannot see the drawing.
	Title, Description string
	Kind               Kind
	// Axis names the metric and its unit; XAxis the factor, for Response.
	Axis, XAxis string
	// Better says which way is better, in words.
	Better string
	Rows   []Row
	Lines  []Line
	Series []Series
	// Decimal is the decimal mark of the language.
	Decimal string
	// Head names the columns of the CSV: label, value, low, high, text.
	Head Head
}

// Head names the columns of a chart's CSV in the report's language.
type Head struct{ Label, From, Value, Low, High, Text, X string }

// number writes a coordinate: short, and the same everywhere.
func number(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

// tick writes an axis label.
func (c Chart) tick(v, step float64) string {
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	text := strconv.FormatFloat(v, 'f', min(decimals, 9), 64)
	if v < 0 {
		text = "−" + text[1:]
	}
	if c.Decimal != "" && c.Decimal != "." {
		text = strings.Replace(text, ".", c.Decimal, 1)
	}
	return text
}

// axis is a linear scale from data to 0…1.
type axis struct {
	low, high float64
	step      float64
}

// newAxis covers the values with about n round steps (1, 2 or 5 times a power
// of ten). With zero it starts at nought.
func newAxis(values []float64, zero bool, n int) axis {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			continue
		}
		low, high = math.Min(low, v), math.Max(high, v)
	}
	if low > high {
		low, high = 0, 1
	}
	if zero {
		low, high = math.Min(low, 0), math.Max(high, 0)
	}
	if low == high {
		wide := math.Abs(low) * 0.1
		if wide == 0 {
			wide = 1
		}
		low, high = low-wide, high+wide
		if zero {
			low = math.Min(0, low)
		}
	}
	span := high/float64(n) - low/float64(n) // divided first: 1e308 − (−1e308) overflows
	power := math.Pow(10, math.Floor(math.Log10(span)))
	step := power
	for _, k := range []float64{1, 2, 5, 10} {
		step = k * power
		if step >= span {
			break
		}
	}
	a := axis{low: math.Floor(low/step) * step, high: math.Ceil(high/step) * step, step: step}
	if zero && low >= 0 {
		a.low = 0
	}
	if !(a.step > 0) || math.IsInf(a.high-a.low, 0) || a.high <= a.low {
		return axis{0, 1, 1}
	}
	return a
}

// at places a value between 0 and 1; what is off the axis stands at its end,
// and what is no number, which the report never gives, at its start.
func (a axis) at(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return math.Max(0, math.Min(1, (v-a.low)/(a.high-a.low)))
}

func (a axis) ticks() []float64 {
	var out []float64
	for i := 0; i <= 20; i++ {
		v := a.low + float64(i)*a.step
		if v > a.high+a.step/2 {
			break
		}
		if math.Abs(v) < a.step*1e-9 {
			v = 0
		}
		out = append(out, v)
	}
	return out
}

// values lists every number that the axis must cover.
func (c Chart) values() []float64 {
	var out []float64
	for _, r := range c.Rows {
		if r.HasValue {
			out = append(out, r.Value)
		}
		if r.HasInterval {
			out = append(out, r.Low, r.High)
		}
		if r.HasFrom {
			out = append(out, r.From)
		}
		out = append(out, r.Readings...)
	}
	for _, l := range c.Lines {
		out = append(out, l.At)
	}
	for _, s := range c.Series {
		for _, p := range append(append([]Point{}, s.Points...), s.Curve...) {
			out = append(out, p.Y)
			if p.HasInterval {
				out = append(out, p.Low, p.High)
			}
		}
	}
	return out
}

// CSV gives the chart's data as a table (RFC 4180), numbers unrounded.
func (c Chart) CSV() []byte {
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	full := func(has bool, v float64) string {
		if !has {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	// The builder never fails, so neither does the writer.
	if c.Kind == Response {
		_ = w.Write([]string{c.Head.Label, c.Head.X, c.Head.Value, c.Head.Low, c.Head.High})
		for _, s := range c.Series {
			for _, p := range s.Points {
				_ = w.Write([]string{Defuse(s.Label), full(true, p.X), full(true, p.Y), full(p.HasInterval, p.Low), full(p.HasInterval, p.High)})
			}
		}
	} else {
		_ = w.Write([]string{c.Head.Label, c.Head.From, c.Head.Value, c.Head.Low, c.Head.High, c.Head.Text})
		for _, r := range c.Rows {
			_ = w.Write([]string{Defuse(r.Label), full(r.HasFrom, r.From), full(r.HasValue, r.Value), full(r.HasInterval, r.Low), full(r.HasInterval, r.High), Defuse(r.Text)})
		}
	}
	w.Flush()
	return []byte(b.String())
}

// Defuse keeps a spreadsheet from running a text as a formula; see package
// spreadsheet, which decides for all published tables.
func Defuse(s string) string { return spreadsheet.Defuse(s) }

func escape(s string) string { return html.EscapeString(s) }
