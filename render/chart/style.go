package chart

// CSS is the style of drawn charts. Its colours are the page's custom
// properties, with the Okabe and Ito palette (Color Universal Design, 2008) in
// their place where a page has none.
const CSS = `svg.drawn,svg.interval{display:block;overflow:visible;font-size:inherit;fill:currentColor}
.drawn text{fill:var(--chart-text,#222);font-size:1em}
.drawn .value{font-weight:600;font-variant-numeric:tabular-nums}
.drawn .label,.drawn .value{paint-order:stroke;stroke:var(--chart-hollow,#fff);stroke-width:.6em;stroke-linejoin:round}
.drawn .tick,.drawn .axis,.drawn text.across{fill:var(--chart-muted,#595959)}
.drawn text.across{paint-order:stroke;stroke:var(--chart-hollow,#fff);stroke-width:.4em;stroke-linejoin:round}
.drawn .tick{font-variant-numeric:tabular-nums}
.drawn .grid,.interval .grid{stroke:var(--chart-grid,#ddd);stroke-width:1}
.drawn .nought,.interval .nought{stroke:var(--chart-axis,#767676)}
.drawn .strip{fill:var(--chart-1,#0072b2)}
.drawn .baseline .strip{fill:var(--chart-hollow,#fff);stroke:var(--chart-1,#0072b2);stroke-width:2}
.drawn .tied .strip{fill:var(--chart-soft,#cfe3f1);stroke:var(--chart-1,#0072b2);stroke-width:1.5;stroke-dasharray:4 3}
.drawn .whisker,.interval .whisker{stroke:var(--chart-ink,#111);stroke-width:1.6}
.drawn .halo{stroke:var(--chart-hollow,#fff);stroke-width:5}
.drawn .strip~.whisker{stroke:var(--chart-whisker,#111)}
.drawn .reading{fill:var(--chart-hollow,#fff);stroke:var(--chart-ink,#111);stroke-width:1}
.drawn .point,.interval .point{fill:var(--chart-1,#0072b2)}
.drawn .baseline .point{fill:var(--chart-hollow,#fff);stroke:var(--chart-1,#0072b2);stroke-width:2}
.drawn .from{fill:var(--chart-hollow,#fff);stroke:var(--chart-ink,#111);stroke-width:1.6}
.drawn .step{stroke:var(--chart-ink,#111);stroke-width:2}
.drawn .worse .step{stroke-dasharray:5 3}
.drawn .better .point{fill:var(--chart-1,#0072b2)}
.drawn .worse .point{fill:var(--chart-2,#d55e00)}
.drawn .tied .point{fill:var(--chart-soft,#cfe3f1);stroke:var(--chart-1,#0072b2);stroke-width:1.5}
.drawn .cross path{stroke:var(--chart-2,#d55e00);stroke-width:2;fill:none}
.drawn line.across{stroke:var(--chart-ink,#111);stroke-width:1.4;stroke-dasharray:6 3}
.drawn line.target{stroke-dasharray:none;stroke-width:2}
.drawn .curve{fill:none;stroke-width:2}
.drawn .shape{overflow:visible;stroke-width:1.6}
.drawn .s0{color:var(--chart-1,#0072b2)}.drawn .s1{color:var(--chart-2,#d55e00)}.drawn .s2{color:var(--chart-3,#00785a)}
.drawn .s3{color:var(--chart-4,#8a5a00)}.drawn .s4{color:var(--chart-5,#a2497b)}.drawn .s5{color:var(--chart-6,#444)}
.drawn .series .shape,.drawn .series .curve,.drawn .series .whisker{stroke:currentColor}
.drawn .series .shape{fill:currentColor}
.drawn a .label{fill:var(--chart-link,currentColor)}.drawn a:hover .label,.drawn a:focus .label{text-decoration:underline}
`

// alone is what a complete file needs besides: a size of text, a ground, and
// the dark scheme.
const alone = `svg.drawn{font:14px/1.4 system-ui,sans-serif;background:#fff}
@media (prefers-color-scheme:dark){svg.drawn{background:#16181c;--chart-text:#e8e8e8;--chart-muted:#b0b0b0;--chart-grid:#3a3d44;--chart-axis:#8c8c8c;--chart-ink:#f2f2f2;--chart-whisker:#f2f2f2;--chart-hollow:#16181c;--chart-soft:#27465a;--chart-1:#56b4e9;--chart-2:#f0894a;--chart-3:#35b68f;--chart-4:#e69f00;--chart-5:#dd99bd;--chart-6:#ccc}}
`

// Standalone is the chart as a complete SVG file that follows the light and
// dark scheme of whoever shows it.
func (c Chart) Standalone() string {
	rows := make([]Row, len(c.Rows))
	for i, r := range c.Rows {
		r.Link = "" // a picture has no page to be relative to
		rows[i] = r
	}
	c.Rows = rows
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + c.draw("<style>"+CSS+alone+"</style>")
}
