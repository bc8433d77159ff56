package render

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"

	"benchwright/render/chart"
	"benchwright/report"
	"benchwright/themes"
	"benchwright/words"
)

// frame is the size of a video frame and the margins that stay free: 5 % all
// round for a wide frame (EBU R 95, title safe, from memory); for a tall one
// more at the top and the bottom, where players on phones put their buttons
// (common practice, no source).
type frame struct {
	name                     string
	width, height            int
	left, top, right, bottom int
	rows                     int // most rows of a chart
}

var frames = [...]frame{
	{"wide", 1920, 1080, 96, 54, 96, 54, 6},
	{"tall", 1080, 1920, 60, 220, 60, 340, 8},
}

// IsStill says whether a path is one of those that Stills gives.
func IsStill(name string) bool {
	folder, _, _ := strings.Cut(name, "/")
	return strings.HasSuffix(name, ".png") && slices.ContainsFunc(frames[:], func(f frame) bool { return f.name == folder })
}

// Stills draws pictures for video frames, 1920 × 1080 and 1080 × 1920: each
// question with its figure, each workload and each composite with its leading
// configurations. PNG, since editing programs read it; the same bytes every
// time.
func Stills(r *report.Report, theme *themes.Theme) ([]File, error) {
	s := &site{r: r, theme: theme, book: words.For(r.Language)}
	bold, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return nil, fmt.Errorf("reading the type of stills: %w", err)
	}
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("reading the type of stills: %w", err)
	}
	var jobs []job
	add := func(name string, draw func(d *still)) {
		for _, f := range frames {
			jobs = append(jobs, func() ([]File, error) {
				d := &still{cardDrawing: cardDrawing{picture: image.NewPaletted(image.Rect(0, 0, f.width, f.height), stillShades())}, frame: f, bold: bold, regular: regular}
				draw(d)
				data, err := d.encode(name)
				return []File{{Path: f.name + "/" + name + ".png", Data: data}}, err
			})
		}
	}
	for i := range r.Questions {
		add("question-"+r.Questions[i].ID, func(d *still) { s.stillAnswer(d, &r.Questions[i]) })
	}
	for w := range r.Workloads {
		if c, ok := s.workloadDrawing(&Page{}, w); ok {
			add("workload-"+r.Workloads[w].ID, func(d *still) { s.stillChart(d, c) })
		}
	}
	if c, ok := s.story(&Page{}); ok {
		add("overview", func(d *still) { s.stillChart(d, c) })
	}
	built, err := s.inParallel(jobs)
	if err != nil {
		return nil, err
	}
	var files []File
	for _, b := range built {
		files = append(files, b...)
	}
	return files, nil
}

// Inks of a still, places of its palette.
const (
	stillInk = iota
	stillMuted
	stillBlue
	stillOrange
	stillRule
)

func stillShades() color.Palette {
	return shades(
		color.RGBA{0x15, 0x19, 0x1d, 0xff}, color.RGBA{0x54, 0x5c, 0x64, 0xff},
		color.RGBA{0x00, 0x72, 0xb2, 0xff}, color.RGBA{0xd5, 0x5e, 0x00, 0xff}, // Okabe and Ito 2008
		color.RGBA{0xc4, 0xc9, 0xce, 0xff},
	)
}

// still is a frame being drawn.
type still struct {
	cardDrawing
	frame
	bold, regular *opentype.Font
}

func (d *still) inner() int { return d.width - d.left - d.right }

func (d *still) encode(name string) ([]byte, error) {
	if d.err != nil {
		return nil, fmt.Errorf("drawing the still %q: %w", name, d.err)
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, d.picture); err != nil {
		return nil, fmt.Errorf("writing the still %q: %w", name, err)
	}
	return b.Bytes(), nil
}

// spoken is a text in the signs that the type has.
func spoken(s string) string {
	return strings.NewReplacer("−", "–", "\u00a0", " ", "\u202f", " ", "“", "\"", "”", "\"", "‑", "-").Replace(s)
}

// head writes the heading and gives the line below it.
func (d *still) head(title, under string) int {
	y := d.top + 70
	y = d.text(d.bold, 64, stillInk, d.left, y, d.inner(), 3, spoken(title))
	if under != "" {
		y = d.text(d.regular, 38, stillMuted, d.left, y-10, d.inner(), 2, spoken(under))
	}
	d.rule(d.left, y-20, d.inner(), 4, stillInk)
	return y + 20
}

// foot names the report and what it says about itself, so that a frame that is
// passed around says whence it comes.
func (d *still) foot(s *site) {
	y := d.height - d.bottom
	lines := 1
	if s.r.Project.Notice != "" {
		lines = 3
	}
	d.rule(d.left, y-22-36*lines, d.inner(), 2, stillRule)
	y = d.text(d.bold, 28, stillMuted, d.left, y+14-36*lines, d.inner(), 1, spoken(s.r.Project.Title))
	if lines > 1 {
		d.text(d.regular, 28, stillMuted, d.left, y, d.inner(), 2, spoken(s.r.Project.Notice))
	}
}

// stillAnswer is a question with its figure, as large as a screen bears.
func (s *site) stillAnswer(d *still, q *report.Answer) {
	y := d.head(q.Ask, "")
	top := y
	_, state := s.answerState(q)
	if q.Overall.Text == "" || !q.Answerable {
		d.text(d.regular, 54, stillInk, d.left, y+80, d.inner(), 5, spoken(q.Headline.Text))
		d.foot(s)
		return
	}
	ink := stillBlue
	switch q.Overall.Verdict {
	case report.Worse:
		ink = stillOrange
	case report.NoDifferenceSeen, report.NoVerdict:
		ink = stillMuted
	}
	size := 230.0
	if d.width < d.height {
		size = 190
	}
	y = d.text(d.bold, size, ink, d.left, y+int(size), d.inner(), 1, spoken(q.Overall.Text)) - int(size*0.9)
	if q.Overall.Range != "" {
		y = d.text(d.regular, 50, stillInk, d.left, y, d.inner(), 1, spoken(s.withConfidence(q.Overall)))
	}
	y = d.text(d.regular, 44, stillMuted, d.left, y+10, d.inner(), 2, spoken(q.FactorLabel+": "+q.FromText+" → "+q.ToText))
	y = d.text(d.bold, 44, stillInk, d.left, y+10, d.inner(), 2, spoken(state))
	s.stillEffects(d, q, top, y)
	d.foot(s)
}

// stillEffects lists the effect on each workload: beside the figure in a wide
// frame, below it in a tall one.
func (s *site) stillEffects(d *still, q *report.Answer, top, below int) {
	left, y, width := d.left, below+30, d.inner()
	if d.width > d.height {
		left, y, width = d.width/2+80, top+50, d.width/2-80-d.right
	}
	step := 66
	for i := range q.ByWorkload {
		w := &q.ByWorkload[i]
		if y > d.height-d.bottom-160 {
			return
		}
		ink := stillInk
		if w.Effect.Verdict == report.NoDifferenceSeen || w.Effect.Verdict == report.NoVerdict {
			ink = stillMuted
		}
		text := spoken(w.Effect.Text)
		size := d.measure(d.bold, 38, text)
		d.text(d.regular, 38, ink, left, y, width-size-20, 1, spoken(s.workloadLabel(w.Workload)))
		d.text(d.bold, 38, ink, left+width-size, y, size+4, 1, text)
		d.rule(left, y+18, width, 2, stillRule)
		y += step
	}
}

// stillChart is the leading rows of a chart, with the baseline among them.
func (s *site) stillChart(d *still, c chart.Chart) {
	under := c.Axis
	if c.Better != "" {
		under += " · " + c.Better
	}
	rows := leading(c.Rows, d.rows)
	if shown := s.shownOf(c.Rows, rows); shown != "" {
		under = shown + " · " + under
	}
	y := d.head(c.Title, under)
	low, high := 0.0, 0.0
	for i, r := range rows {
		if !r.HasValue {
			continue
		}
		top, bottom := r.Value, r.Value
		if r.HasInterval {
			top, bottom = max(top, r.High), min(bottom, r.Low)
		}
		if i == 0 || top > high {
			high = top
		}
		if c.Kind != chart.Bars && (i == 0 || bottom < low) || bottom < low {
			low = bottom
		}
	}
	if c.Kind != chart.Bars {
		pad := (high - low) * 0.08
		low, high = low-pad, high+pad
	}
	if !(high > low) {
		high = low + 1
	}
	at := func(v float64) int { return d.left + int(float64(d.inner())*(v-low)/(high-low)) }
	room := d.height - d.bottom - 150 - y
	step := min(room/max(len(rows), 1), 130)
	for _, r := range rows {
		if r.Mark == chart.Baseline && r.HasValue && c.Kind != chart.Bars {
			// Between the labels, so that it runs through none.
			for i := range rows {
				d.rule(at(r.Value)-1, y+i*step+46, 2, step-56, stillRule)
			}
		}
	}
	for _, r := range rows {
		size := 36.0
		label := spoken(r.Label)
		d.text(d.regular, size, stillInk, d.left, y+34, d.inner()*2/3, 1, label)
		d.flush(d.bold, size, stillInk, y+34, spoken(r.Text))
		mid := y + 34 + (step-34)/2 - 4
		half := min(20, (step-50)/2)
		if r.HasValue {
			ink := stillBlue
			if r.Mark == chart.Baseline {
				ink = stillMuted
			}
			if c.Kind == chart.Bars {
				d.rule(at(max(low, min(0, r.Value))), mid-half, max(at(r.Value)-at(0), 2), 2*half, ink)
			} else {
				// Small, so that a narrow interval shows on both sides of it.
				dot := min(half, 7)
				d.rule(at(r.Value)-dot, mid-dot, 2*dot, 2*dot, ink)
			}
			if r.HasInterval {
				d.rule(at(r.Low), mid-3, max(at(r.High)-at(r.Low), 2), 6, stillInk)
				d.rule(at(r.Low)-2, mid-half+4, 4, 2*half-8, stillInk)
				d.rule(at(r.High)-2, mid-half+4, 4, 2*half-8, stillInk)
			}
		}
		y += step
	}
	d.foot(s)
}

// shownOf says which of the rows a still has room for; nothing when it is all.
func (s *site) shownOf(all, shown []chart.Row) string {
	if len(shown) >= len(all) {
		return ""
	}
	// The baseline is put last when it is none of the best.
	last := len(shown) - 1
	if last > 0 && shown[last].Mark == chart.Baseline && all[last].Mark != chart.Baseline {
		return s.book.Say("still.best-and-baseline", "n", strconv.Itoa(last), "of", strconv.Itoa(len(all)))
	}
	return s.book.Say("still.best", "n", strconv.Itoa(len(shown)), "of", strconv.Itoa(len(all)))
}

// flush writes a text that ends at the right margin.
func (d *still) flush(f *opentype.Font, size float64, ink, y int, s string) {
	width := d.measure(f, size, s)
	d.text(f, size, ink, d.width-d.right-width, y, width+4, 1, s)
}

// leading takes the first rows, and the baseline in the last place when it
// would be cut off.
func leading(rows []chart.Row, most int) []chart.Row {
	if len(rows) <= most {
		return rows
	}
	out := append([]chart.Row{}, rows[:most]...)
	for _, r := range out {
		if r.Mark == chart.Baseline {
			return out
		}
	}
	for _, r := range rows[most:] {
		if r.Mark == chart.Baseline {
			out[most-1] = r
		}
	}
	return out
}
