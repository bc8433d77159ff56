package chart

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Measures of the drawing, in em down and per cent across.
const (
	rowHeight  = 2.9  // label line and mark line
	markLine   = 1.85 // the marks' middle, from the top of a row
	labelLine  = 0.85 // the text's base line
	barHalf    = 0.42
	beside     = 0.66 // single readings below the marks, whose ends they would blot
	sidePad    = 1.5  // per cent kept free on either side
	headHeight = 1.6  // labels of lines across
	footHeight = 4.1  // ticks, the axis title, which way is better
	lineHeight = 1.2  // of a further line of a label
	lineLength = 30   // characters that fit a narrow phone beside a value
)

// drawing collects the parts of one SVG.
type drawing struct {
	strings.Builder
	x axis
	// inset keeps the ends of the axis free, in per cent, besides sidePad.
	inset float64
}

func (d *drawing) add(format string, args ...any) { fmt.Fprintf(d, format, args...) }

// across places a value: per cent of the width.
func (d *drawing) across(v float64) string {
	pad := sidePad + d.inset
	return number(pad+(100-2*pad)*d.x.at(v)) + "%"
}

func em(v float64) string { return number(v) + "em" }

// SVG draws the chart as a fragment for a page: no style, sizes in em and per
// cent, title and description inside.
func (c Chart) SVG() string { return c.draw("") }

// draw puts the drawing together; extra stands in front of the title, for the
// style of a complete file.
func (c Chart) draw(extra string) string {
	if c.Kind == Response {
		return c.drawResponse(extra)
	}
	d := &drawing{x: newAxis(c.values(), c.Kind == Bars, 5)}
	head := 0.0
	if len(c.Lines) > 0 {
		head = headHeight + lineHeight*float64(len(c.Lines)-1) // a line for the label of each
	}
	bottom := head + 0.3
	for _, r := range c.Rows {
		bottom += rowHeight + lineHeight*float64(len(broken(r.Label))-1)
	}
	c.open(d, bottom+footHeight, extra)
	c.grid(d, head, bottom)
	top := head
	for _, r := range c.Rows {
		c.marks(d, r, top+lineHeight*float64(len(broken(r.Label))-1))
		top += rowHeight + lineHeight*float64(len(broken(r.Label))-1)
	}
	c.lines(d, head, bottom)
	// Last, so that no line crosses what is read.
	top = head
	for _, r := range c.Rows {
		lines := broken(r.Label)
		c.labels(d, r, lines, top)
		top += rowHeight + lineHeight*float64(len(lines)-1)
	}
	c.foot(d, bottom)
	d.add("</svg>")
	return d.String()
}

func (c Chart) open(d *drawing, height float64, extra string) {
	id := escape(c.ID)
	class := "drawn"
	if c.Kind != Response {
		class += " rows" // a page wide enough sets the labels beside the marks
		if c.roomy() {
			class += " roomy"
		}
	}
	d.add(`<svg class="%s" xmlns="http://www.w3.org/2000/svg" role="%s" width="100%%" height="%s" aria-labelledby="%s-t %s-d">`, class, c.role(), em(height), id, id)
	d.add("%s<title id=\"%s-t\">%s</title><desc id=\"%s-d\">%s</desc>", extra, id, escape(c.Title), id, escape(c.Description))
}

// roomy says that a value needs a wider column than most.
func (c Chart) roomy() bool {
	for _, r := range c.Rows {
		if r.HasValue && utf8.RuneCountInString(r.Text) > 9 {
			return true
		}
	}
	return false
}

// role is a picture, or a group where there are links in it, which a picture
// would hide.
func (c Chart) role() string {
	for _, r := range c.Rows {
		if r.Link != "" {
			return "group"
		}
	}
	return "img"
}

// grid draws a thin line at every step of the axis.
func (c Chart) grid(d *drawing, top, bottom float64) {
	for _, v := range d.x.ticks() {
		class := "grid"
		if v == 0 {
			class = "grid nought"
		}
		x := d.across(v)
		d.add(`<line class="%s" x1="%s" x2="%s" y1="%s" y2="%s"/>`, class, x, x, em(top), em(bottom))
	}
}

// foot labels the steps and names the axis.
func (c Chart) foot(d *drawing, bottom float64) {
	ticks := d.x.ticks()
	for i, v := range ticks {
		anchor := "middle"
		switch i {
		case 0:
			anchor = "start"
		case len(ticks) - 1:
			anchor = "end"
		}
		d.add(`<text class="tick" x="%s" y="%s" text-anchor="%s">%s</text>`, d.across(v), em(bottom+1.05), anchor, escape(c.tick(v, d.x.step)))
	}
	for i, text := range []string{c.Axis, c.Better} {
		if text != "" {
			d.add(`<text class="axis" x="%s%%" y="%s">%s</text>`, number(sidePad), em(bottom+2.35+1.25*float64(i)), escape(text))
		}
	}
}

// lines draws what goes across all rows, with its label on top.
func (c Chart) lines(d *drawing, top, bottom float64) {
	for i, l := range c.Lines {
		x, label := d.across(l.At), top-0.55-lineHeight*float64(len(c.Lines)-1-i)
		anchor := "middle"
		switch at := d.x.at(l.At); {
		case at < 0.35:
			anchor = "start"
		case at > 0.65:
			anchor = "end"
		}
		d.add(`<line class="across %s" x1="%s" x2="%s" y1="%s" y2="%s"/>`, escape(l.Class), x, x, em(label+0.35), em(bottom))
		d.add(`<text class="across %s" x="%s" y="%s" text-anchor="%s">%s</text>`, escape(l.Class), x, em(label), anchor, escape(l.Label))
	}
}

// broken sets a label in lines that a narrow phone can show; the text of a
// drawing does not wrap by itself.
func broken(label string) []string {
	var lines []string
	line := ""
	for _, word := range strings.FieldsFunc(label, func(r rune) bool { return r == ' ' }) { // a no-break space keeps a unit with its number
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > lineLength {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// labels writes what a row is and what its value is.
func (c Chart) labels(d *drawing, r Row, lines []string, top float64) {
	label := ""
	for i, line := range lines {
		if i > 0 {
			top += lineHeight
		}
		label += `<text class="label" x="` + number(sidePad) + `%" y="` + em(top+labelLine) + `">` + escape(line) + `</text>`
	}
	if r.Link != "" {
		label = `<a href="` + escape(r.Link) + `">` + label + `</a>`
	}
	d.WriteString(label)
	d.add(`<text class="value" x="%s%%" y="%s" text-anchor="end">%s</text>`, number(100-sidePad), em(top+labelLine), escape(r.Text))
}

// marks draws a row's value; top is that of the last line of its label.
func (c Chart) marks(d *drawing, r Row, top float64) {
	d.WriteString(strings.TrimRight(`<g class="marks `+string(r.Mark), " ") + `">`)
	y := top + markLine
	if c.Kind == Bars && r.HasValue {
		from, to := sidePad+(100-2*sidePad)*d.x.at(min(0, r.Value)), sidePad+(100-2*sidePad)*d.x.at(max(0, r.Value))
		d.add(`<rect class="strip" x="%s%%" y="%s" width="%s%%" height="%s"/>`, number(from), em(y-barHalf), number(to-from), em(2*barHalf))
	}
	if r.HasFrom && r.HasValue {
		d.add(`<line class="step" x1="%s" x2="%s" y1="%s" y2="%s"/>`, d.across(r.From), d.across(r.Value), em(y), em(y))
		d.add(`<circle class="from" cx="%s" cy="%s" r=".38em"/>`, d.across(r.From), em(y))
	}
	for _, v := range r.Readings {
		d.add(`<circle class="reading" cx="%s" cy="%s" r=".17em"/>`, d.across(v), em(y+beside))
	}
	if r.HasInterval {
		d.whisker(r.Low, r.High, y)
	}
	if r.HasValue && c.Kind != Bars {
		d.add(`<circle class="point" cx="%s" cy="%s" r=".38em"/>`, d.across(r.Value), em(y))
	}
	if r.Mark == Failed {
		// A cross at the foot of the axis: nothing was reached.
		at, arm := sidePad+(100-2*sidePad)*d.x.at(max(d.x.low, 0)), 0.35
		d.add(`<svg class="cross" x="%s%%" y="%s" width="%s" height="%s" viewBox="0 0 10 10"><path d="M1 1 9 9M9 1 1 9"/></svg>`, number(at), em(y-arm), em(2*arm), em(2*arm))
	}
	d.WriteString("</g>")
}

// whisker is the interval: a line with two ends.
func (d *drawing) whisker(low, high, y float64) {
	l, h := d.across(low), d.across(high)
	d.add(`<line class="halo" x1="%s" x2="%s" y1="%s" y2="%s"/>`, l, h, em(y), em(y))
	d.add(`<line class="whisker" x1="%s" x2="%s" y1="%s" y2="%s"/>`, l, h, em(y), em(y))
	for _, x := range []string{l, h} {
		d.add(`<line class="whisker" x1="%s" x2="%s" y1="%s" y2="%s"/>`, x, x, em(y-0.3), em(y+0.3))
	}
}
