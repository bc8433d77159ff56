package chart

import (
	"fmt"
	"strings"
)

// responseHeight is the height of the plot of a Response chart, in em.
const responseHeight = 17.0

// shapes of the points, one per series, each within a box of 10 × 10.
var shapes = []string{
	`<circle cx="5" cy="5" r="4"/>`,
	`<rect x="1.5" y="1.5" width="7" height="7"/>`,
	`<path d="M5 .8 9.5 8.8H.5z"/>`,
	`<path d="M5 .3 9.7 5 5 9.7 .3 5z"/>`,
	`<path d="M1 1 9 9M9 1 1 9"/>`,
	`<path d="M5 .5V9.5M.5 5H9.5"/>`,
}

// drawResponse draws a metric over a numeric factor: a legend with the shapes,
// points with their intervals, and the fitted curves.
func (c Chart) drawResponse(extra string) string {
	var xs []float64
	for _, s := range c.Series {
		for _, p := range s.Points {
			xs = append(xs, p.X)
		}
	}
	d := &drawing{x: newAxis(xs, false, 5), inset: 9}
	y := newAxis(c.values(), true, 5)
	head := 1.4
	for _, s := range c.Series {
		head += 0.3 + lineHeight*float64(len(broken(s.Label)))
	}
	if len(c.Lines) > 0 {
		head += 0.6
	}
	bottom := head + responseHeight
	down := func(v float64) float64 { return bottom - responseHeight*y.at(v) }
	c.open(d, bottom+footHeight+1.3, extra)
	top := 0.0
	for i, s := range c.Series {
		d.add(`<g class="series s%d"><svg class="shape" x="%s%%" y="%s" width=".9em" height=".9em" viewBox="0 0 10 10">%s</svg>`, i%len(shapes), number(sidePad), em(top+0.2), shapes[i%len(shapes)])
		for _, line := range broken(s.Label) {
			d.add(`<svg x="%s%%" y="%s" width="80%%" height="1.5em" overflow="visible"><text class="label" x="1.4em" y=".85em">%s</text></svg>`, number(sidePad), em(top), escape(line))
			top += lineHeight
		}
		d.WriteString("</g>")
		top += 0.3
	}
	for _, v := range y.ticks() {
		class := "grid"
		if v == 0 {
			class = "grid nought"
		}
		d.add(`<line class="%s" x1="%s%%" x2="%s%%" y1="%s" y2="%s"/>`, class, number(sidePad), number(100-sidePad), em(down(v)), em(down(v)))
		d.add(`<text class="tick" x="%s%%" y="%s">%s</text>`, number(sidePad), em(down(v)-0.25), escape(c.tick(v, y.step)))
	}
	for _, l := range c.Lines {
		d.add(`<line class="across %s" x1="%s%%" x2="%s%%" y1="%s" y2="%s"/>`, escape(l.Class), number(sidePad), number(100-sidePad), em(down(l.At)), em(down(l.At)))
		d.add(`<text class="across %s" x="%s%%" y="%s" text-anchor="end">%s</text>`, escape(l.Class), number(100-sidePad), em(down(l.At)-0.3), escape(l.Label))
	}
	for i, s := range c.Series {
		d.add(`<g class="series s%d">`, i%len(shapes))
		if len(s.Curve) > 1 {
			d.add(`<svg x="%s%%" y="%s" width="%s%%" height="%s" viewBox="0 0 1000 1000" preserveAspectRatio="none" overflow="visible"><path class="curve" vector-effect="non-scaling-stroke" d="%s"/></svg>`,
				number(sidePad+d.inset), em(head), number(100-2*(sidePad+d.inset)), em(responseHeight), curvePath(s.Curve, d.x, y))
		}
		for _, p := range s.Points {
			x := d.across(p.X)
			if p.HasInterval {
				d.add(`<line class="whisker" x1="%s" x2="%s" y1="%s" y2="%s"/>`, x, x, em(down(p.Low)), em(down(p.High)))
			}
			d.add(`<svg class="shape" x="%s" y="%s" width=".9em" height=".9em" viewBox="0 0 10 10" overflow="visible"><g transform="translate(-5 0)">%s</g></svg>`, x, em(down(p.Y)-0.45), shapes[i%len(shapes)])
		}
		d.WriteString("</g>")
	}
	for _, v := range d.x.ticks() {
		d.add(`<text class="tick" x="%s" y="%s" text-anchor="middle">%s</text>`, d.across(v), em(bottom+1.05), escape(c.tick(v, d.x.step)))
	}
	for i, text := range []string{"→ " + c.XAxis, "↑ " + c.Axis, c.Better} {
		if text != "" {
			d.add(`<text class="axis" x="%s%%" y="%s">%s</text>`, number(sidePad), em(bottom+2.35+1.25*float64(i)), escape(text))
		}
	}
	d.WriteString("</svg>")
	return d.String()
}

func curvePath(points []Point, x, y axis) string {
	var b strings.Builder
	for i, p := range points {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		fmt.Fprintf(&b, "%s%s %s", letter, number(1000*x.at(p.X)), number(1000-1000*y.at(p.Y)))
	}
	return b.String()
}
