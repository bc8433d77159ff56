package render

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"benchwright/report"
)

// The picture that goes with a link to the report: its title and the answer
// that says most, in type that can be read at a third of its size. 1200 × 630
// is what those who show such pictures ask for (common practice, no source).
const cardWidth, cardHeight, cardEdge = 1200, 630, 72

// card draws assets/card.png.
func (s *site) card() ([]File, error) {
	bold, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return nil, fmt.Errorf("reading the card's type: %w", err)
	}
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("reading the card's type: %w", err)
	}
	const ink, muted, blue = 0, 1, 2
	c := &cardDrawing{picture: image.NewPaletted(image.Rect(0, 0, cardWidth, cardHeight), shades(
		color.RGBA{0x15, 0x19, 0x1d, 0xff}, color.RGBA{0x54, 0x5c, 0x64, 0xff}, color.RGBA{0x00, 0x72, 0xb2, 0xff}, // the last: Okabe and Ito 2008
	))}
	c.rule(cardEdge, 56, cardWidth-2*cardEdge, 6, ink)
	y := c.text(bold, 62, ink, cardEdge, 138, cardWidth-2*cardEdge, 2, s.r.Project.Title)
	if s.r.Project.Subtitle != "" {
		y = c.text(regular, 32, muted, cardEdge, y+8, cardWidth-2*cardEdge, 2, s.r.Project.Subtitle)
	}
	foot := cardHeight - 48
	if s.r.Project.Notice != "" {
		foot -= 36
		c.text(regular, 22, muted, cardEdge, foot+32, cardWidth-2*cardEdge, 2, s.r.Project.Notice)
	}
	if q := s.tellingAnswer(); q != nil {
		c.text(bold, 120, blue, cardEdge, foot-82, cardWidth-2*cardEdge, 1, strings.ReplaceAll(q.Overall.Text, "−", "–"))
		c.text(regular, 32, ink, cardEdge, foot-26, cardWidth-2*cardEdge, 1, q.Ask)
	} else {
		c.text(regular, 40, ink, cardEdge, max(y+40, foot-82), cardWidth-2*cardEdge, 1,
			s.book.Count("page.count.tested", s.r.Counts.Tested)+" · "+s.book.Count("page.count.readings", s.r.Counts.Readings))
	}
	c.rule(cardEdge, foot, cardWidth-2*cardEdge, 2, ink)
	if c.err != nil {
		return nil, fmt.Errorf("drawing the card: %w", c.err)
	}
	var b bytes.Buffer
	// The default level makes a file a little larger in a tenth of the time.
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, c.picture); err != nil {
		return nil, fmt.Errorf("writing the card: %w", err)
	}
	return []File{{Path: "assets/card.png", Data: b.Bytes()}}, nil
}

// tellingAnswer is the clean answer with the largest effect.
func (s *site) tellingAnswer() *report.Answer {
	var best *report.Answer
	size := func(q *report.Answer) float64 {
		if q.Overall.Value >= 1 {
			return q.Overall.Value
		}
		return 1 / q.Overall.Value
	}
	for i := range s.r.Questions {
		q := &s.r.Questions[i]
		if !q.Answerable || !q.Clean || q.Bundle || !measured(q.Overall) || s.asDifference(q) || !(q.Overall.Value > 0) || q.Overall.Verdict == report.NoDifferenceSeen {
			continue
		}
		if best == nil || size(q) > size(best) {
			best = q
		}
	}
	return best
}

// shades is a palette of each ink in sixteen steps down to the paper: enough
// for smooth type, and a quarter of the file.
func shades(inks ...color.RGBA) color.Palette {
	p := color.Palette{color.RGBA{0xfc, 0xfc, 0xfb, 0xff}}
	for _, c := range inks {
		for i := 1; i <= steps; i++ {
			mix := func(ink, paper uint8) uint8 { return uint8((int(ink)*i + int(paper)*(steps-i)) / steps) }
			p = append(p, color.RGBA{mix(c.R, 0xfc), mix(c.G, 0xfc), mix(c.B, 0xfb), 0xff})
		}
	}
	return p
}

type cardDrawing struct {
	picture *image.Paletted
	err     error
}

// steps is how many shades each ink has between the paper and itself; ink i has
// the places from 1 + i × steps of the palette, place 0 is the paper.
const steps = 16

func (c *cardDrawing) rule(x, y, width, height, ink int) {
	for row := y; row < y+height; row++ {
		line := c.picture.Pix[row*c.picture.Stride:]
		for i := x; i < x+width; i++ {
			line[i] = uint8((ink + 1) * steps)
		}
	}
}

// text writes s from a baseline on, in at most so many lines, and gives the
// baseline after the last; a line too many ends in an ellipsis.
func (c *cardDrawing) text(f *opentype.Font, size float64, ink, x, y, width, lines int, s string) int {
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		c.err = err
		return y
	}
	// Drawn as coverage and then looked up: a picture with a palette would search
	// it for every point.
	up, down := int(size*1.2), int(size*(1.25*float64(lines)))
	area := image.Rect(x-int(size), y-up, x+width+int(size), y+down).Intersect(c.picture.Bounds())
	mask := image.NewAlpha(area)
	d := font.Drawer{Dst: mask, Src: image.Opaque, Face: face}
	broken := breakLines(func(t string) bool { return d.MeasureString(t) <= fixed.I(width) }, strings.Fields(s), lines)
	for _, line := range broken {
		d.Dot = fixed.P(x, y)
		d.DrawString(line)
		y += int(size * 1.25)
	}
	for row := area.Min.Y; row < area.Max.Y; row++ {
		covers := mask.Pix[mask.PixOffset(area.Min.X, row):][:area.Dx()]
		shades := c.picture.Pix[c.picture.PixOffset(area.Min.X, row):]
		for i, cover := range covers {
			if shade := (int(cover)*steps + 127) / 255; shade > 0 {
				shades[i] = uint8(ink*steps + shade)
			}
		}
	}
	return y
}

// breakLines fills lines with words as they fit.
func breakLines(fits func(string) bool, words []string, most int) []string {
	var out []string
	line := ""
	for i, w := range words {
		next := strings.TrimSpace(line + " " + w)
		if line == "" || fits(next) {
			line = next
			continue
		}
		if len(out) == most-1 {
			for !fits(line+"…") && strings.Contains(line, " ") {
				line = line[:strings.LastIndexByte(line, ' ')]
			}
			return append(out, line+"…")
		}
		out, line = append(out, line), words[i]
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// measure is the width of a text in pixels, rounded up.
func (c *cardDrawing) measure(f *opentype.Font, size float64, s string) int {
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		c.err = err
		return 0
	}
	return font.MeasureString(face, s).Ceil()
}
