package edition

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/render/notes"
	"benchwright/report"
	"benchwright/schema"
)

// noteFindings says what is wrong in the notes: marks that name nothing,
// pictures that are not there, and figures typed by hand that are none of the
// report's.
func (e *Edition) noteFindings() []schema.Finding {
	p := e.Project
	var out []schema.Finding
	var prose []notes.Prose
	for _, n := range p.Notes {
		marks, text, pictures := notes.Scan([]byte(n.Text), n.File)
		prose = append(prose, text...)
		for _, m := range marks {
			parsed, err := report.ParseMark(p, m.Text)
			f := schema.Finding{Rule: "mark-names-nothing", Severity: schema.Error, Place: m.Place, Width: m.Width}
			var fault *report.MarkFault
			switch {
			case errors.As(err, &fault):
				f.Message, f.Remedy = fault.Message, fault.Remedy
			case err != nil:
				f.Message = err.Error()
			case parsed.Kind != report.MarkText && !m.Block:
				f.Message = fmt.Sprintf("the mark %q stands within a paragraph", m.Text)
				f.Remedy = "a table, a chart or a list of pairs needs a paragraph of its own"
			default:
				continue
			}
			out = append(out, f)
		}
		for _, picture := range pictures {
			if !slices.Contains(p.Media, picture.File) {
				out = append(out, schema.Finding{Rule: "missing-picture", Severity: schema.Error, Place: picture.Place,
					Message: fmt.Sprintf("there is no picture %q", picture.File), Remedy: didYouMean(picture.File, p.Media)})
			} else if strings.TrimSpace(picture.Text) == "" {
				out = append(out, schema.Finding{Rule: "missing-picture", Severity: schema.Warning, Place: picture.Place,
					Message: fmt.Sprintf("the picture %q has no text", picture.File), Remedy: "say between the brackets what it shows, for those who cannot see it"})
			}
		}
	}
	return append(out, e.typedFigures(prose)...)
}

func didYouMean(word string, known []string) string {
	if near := schema.Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return ""
}

// typed is a number with what may be its unit behind it.
var typed = regexp.MustCompile(`[-−]?\d+(?:[.,]\d+)?[  \x{202f}]?(?:[\pL°µΩ%][\pL\d°µΩ/%()·²³]*)`)

// typedFigures looks for numbers in the unit of a workload that nothing in
// the folder or the report rounds to. The report is computed only when there
// is such a number.
func (e *Edition) typedFigures(prose []notes.Prose) []schema.Finding {
	p := e.Project
	units := map[string]bool{}
	for _, w := range p.Workloads {
		if s := w.Unit.Symbol; s != "" && s != "%" {
			units[s] = true
		}
	}
	var known map[string][]float64
	var out []schema.Finding
	for _, text := range prose {
		for _, at := range typed.FindAllStringIndex(text.Text, -1) {
			if at[0] > 0 && isWord(text.Text[at[0]-1]) {
				continue // the tail of a name or of a longer number
			}
			match := text.Text[at[0]:at[1]]
			number, unit := splitTyped(match)
			if !units[unit] {
				continue
			}
			v, decimals, ok := readTyped(number)
			if !ok {
				continue
			}
			if known == nil {
				known = e.knownFigures(units)
			}
			half := 0.5*math.Pow10(-decimals) + 1e-9*math.Abs(v)
			if slices.ContainsFunc(known[unit], func(x float64) bool { return math.Abs(x-v) <= half || math.Abs(x+v) <= half }) {
				continue
			}
			place := text.Place
			place.Column += len([]rune(text.Text[:at[0]]))
			out = append(out, schema.Finding{Rule: "typed-figure-disagrees", Severity: schema.Warning, Place: place, Width: len([]rune(match)),
				Message: fmt.Sprintf("%q is typed by hand, and no reading, mean, target or level of the report is that", match),
				Remedy:  "put a mark in its place, such as @{value CONFIGURATION WORKLOAD}, or correct it"})
		}
	}
	return out
}

func isWord(b byte) bool {
	return b >= '0' && b <= '9' || b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b == '.' || b == ','
}

func splitTyped(s string) (number, unit string) {
	i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("-−0123456789.,", r) })
	if i < 0 {
		return s, ""
	}
	return s[:i], strings.TrimLeft(s[i:], "  \u202f")
}

func readTyped(s string) (v float64, decimals int, ok bool) {
	s = strings.NewReplacer("−", "-", ",", ".").Replace(s)
	v, err := strconv.ParseFloat(s, 64)
	if i := strings.IndexByte(s, '.'); i >= 0 {
		decimals = len(s) - i - 1
	}
	return v, decimals, err == nil
}

// knownFigures lists, by unit, every number that a note may speak of.
func (e *Edition) knownFigures(units map[string]bool) map[string][]float64 {
	p := e.Project
	known := map[string][]float64{}
	add := func(unit string, values ...float64) { known[unit] = append(known[unit], values...) }
	for _, f := range p.Factors {
		u := f.Unit.Symbol
		if !units[u] {
			continue
		}
		add(u, f.Limit.Least, f.Limit.Most, f.Tolerance.Absolute)
		for _, l := range f.Levels {
			add(u, l.Value.Number)
		}
		for _, c := range p.Configurations {
			if v := c.Values[f.Index]; v.State == project.Known && v.Numeric {
				add(u, v.Number)
			}
		}
		for _, s := range p.Sessions {
			if v, ok := s.Values[f.Index]; ok && v.Numeric {
				add(u, v.Number)
			}
		}
	}
	r := e.compute()()
	for w, workload := range p.Workloads {
		u := workload.Unit.Symbol
		add(u, workload.Target, workload.Least, workload.Most, workload.Resolution)
		for c := range r.Cells {
			cell := &r.Cells[c][w]
			for _, rd := range cell.Readings {
				if rd.HasValue {
					add(u, rd.Value)
				}
			}
			if cell.N > 0 {
				add(u, cell.Mean, cell.Median, cell.SD, cell.Min, cell.Max, cell.Centre.Low, cell.Centre.High)
			}
		}
	}
	for _, q := range r.Questions {
		for _, x := range q.ByWorkload {
			if x.Difference {
				add(p.Workloads[x.Workload].Unit.Symbol, x.Effect.Value, x.Effect.Low, x.Effect.High)
			}
		}
	}
	return known
}
