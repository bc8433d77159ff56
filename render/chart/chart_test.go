package chart

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

func examples() map[string]Chart {
	head := Head{Label: "Configuration", From: "From", Value: "Value", Low: "Low", High: "High", Text: "As written", X: "Power limit"}
	return map[string]Chart{
		"bars": {
			ID: "work", Title: "Work", Description: "Four configurations.", Kind: Bars, Axis: "frames per second (fps)", Better: "higher is better", Head: head,
			Rows: []Row{
				{Label: "One <channel>", Link: "../configurations/one.html", Mark: Baseline, HasValue: true, Value: 41.2, HasInterval: true, Low: 40.9, High: 41.5, Readings: []float64{41, 41.2, 41.4}, Text: "41.2 fps"},
				{Label: "Two channels", HasValue: true, Value: 60.3, HasInterval: true, Low: 59.1, High: 61.5, Readings: []float64{59.8, 60.3, 60.8}, Text: "60.3 fps"},
				{Label: "Other pad", Mark: Tied, HasValue: true, Value: 41.4, Text: "41.4 fps"},
				{Label: "Hot", Mark: Failed, Text: "hung"},
			},
			Lines: []Line{{At: 60, Label: "target 60 fps", Class: "target"}},
		},
		"dots":  {ID: "heat", Title: "Heat", Description: "d", Kind: Dots, Axis: "rise (K)", Head: head, Rows: []Row{{Label: "A", HasValue: true, Value: -3.5, HasInterval: true, Low: -4, High: -3, Text: "−3.5 K"}, {Label: "B", HasValue: true, Value: 12, Text: "12.0 K"}}},
		"pairs": {ID: "p", Title: "Pairs", Description: "d", Kind: Pairs, Axis: "time (s)", Head: head, Rows: []Row{{Label: "15 W", Mark: Better, HasFrom: true, From: 230, HasValue: true, Value: 210, HasInterval: true, Low: 208, High: 212, Text: "+9.5 %"}, {Label: "35 W", Mark: Worse, HasFrom: true, From: 150, HasValue: true, Value: 155, Text: "−3.2 %"}}},
		"response": {ID: "r", Title: "Response", Description: "d", Kind: Response, Axis: "time (s)", XAxis: "power limit (W)", Head: head, Decimal: ",",
			Series: []Series{{Label: "one channel", Points: []Point{{X: 15, Y: 230, HasInterval: true, Low: 228, High: 232, Label: "a"}, {X: 35, Y: 180, Label: "b"}}, Curve: []Point{{X: 15, Y: 230}, {X: 25, Y: 200}, {X: 35, Y: 180}}}, {Label: "two", Points: []Point{{X: 15, Y: 220, Label: "c"}}}}},
	}
}

func TestDrawings(t *testing.T) {
	for name, c := range examples() {
		t.Run(name, func(t *testing.T) {
			option, err := c.Option()
			if err != nil {
				t.Fatal(err)
			}
			for suffix, got := range map[string]string{".svg": c.SVG(), ".csv": string(c.CSV()), ".json": string(option)} {
				file := filepath.Join("testdata", name+suffix)
				if *update {
					if err := os.MkdirAll("testdata", 0o755); err != nil {
						t.Fatal(err)
					}
					if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
					continue
				}
				want, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				if got != string(want) {
					t.Errorf("%s differs from the golden file; look at it and run with -update if it is right", file)
				}
			}
		})
	}
}

func TestDrawingsAreWellFormedAndWithoutStyle(t *testing.T) {
	for name, c := range examples() {
		for _, drawn := range []string{c.SVG(), c.Standalone()} {
			d := xml.NewDecoder(strings.NewReader(drawn))
			for {
				token, err := d.Token()
				if err == io.EOF {
					break
				}
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if e, ok := token.(xml.StartElement); ok {
					for _, a := range e.Attr {
						if a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on") {
							t.Errorf("%s: <%s %s=%q>", name, e.Name.Local, a.Name.Local, a.Value)
						}
					}
				}
			}
		}
		if !strings.Contains(c.SVG(), "<title") || !strings.Contains(c.SVG(), "<desc") {
			t.Errorf("%s has no title or description", name)
		}
	}
}

func TestOptionIsDataWithAxisAndNoAddress(t *testing.T) {
	for name, c := range examples() {
		first, err := c.Option()
		if err != nil {
			t.Fatal(err)
		}
		for range 20 {
			again, err := c.Option()
			if err != nil || string(again) != string(first) {
				t.Fatalf("%s: the options differ between two calls (%v)", name, err)
			}
		}
		if strings.Contains(string(first), "://") || strings.Contains(Safe(first), "<") {
			t.Errorf("%s: the options hold an address or a <: %s", name, first)
		}
		var o map[string]any
		if err := json.Unmarshal(first, &o); err != nil {
			t.Fatal(err)
		}
		if c.Kind != Response {
			axis := o["yAxis"].([]any)[0].(map[string]any)
			if got := len(axis["data"].([]any)); got != len(c.Rows) {
				t.Errorf("%s: the category axis has %d labels, want %d", name, got, len(c.Rows))
			}
		}
	}
}

// Labels of two lines that lie close to one another stand one above the other.
func TestLabelsOfLinesKeepApart(t *testing.T) {
	c := examples()["bars"]
	c.Lines = append(c.Lines, Line{At: 59, Label: "the one compared with", Class: "baseline"})
	seen := map[string]string{}
	for _, m := range regexp.MustCompile(`<text class="across [a-z]+" x="[^"]*" y="([^"]*)"[^>]*>([^<]*)<`).FindAllStringSubmatch(c.SVG(), -1) {
		if other, ok := seen[m[1]]; ok {
			t.Errorf("%q and %q stand on one line", other, m[2])
		}
		seen[m[1]] = m[2]
	}
	if len(seen) != 2 {
		t.Errorf("%d labels, want 2", len(seen))
	}
}

// Single readings would blot the ends of an interval on the same line.
func TestReadingsLieBesideTheInterval(t *testing.T) {
	svg := examples()["bars"].SVG()
	whisker := regexp.MustCompile(`class="halo"[^>]* y1="([^"]*)"`).FindStringSubmatch(svg)
	reading := regexp.MustCompile(`class="reading"[^>]* cy="([^"]*)"`).FindStringSubmatch(svg)
	if whisker == nil || reading == nil || whisker[1] == reading[1] {
		t.Errorf("the interval lies at %q, a reading at %q", whisker, reading)
	}
}

// The interactive chart tells what the drawing has no room for, and leads where
// the drawing does.
func TestOptionTellsIntervalReadingsAndLinks(t *testing.T) {
	c := examples()["bars"]
	c.Rows[0].Range, c.Rows[0].Single = "95 % interval: 40.9 to 41.5 fps", []string{"41.0", "41.2"}
	option, err := c.Option()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`41.2 fps\n95 % interval: 40.9 to 41.5 fps\n41.0 · 41.2`, `"link":"../configurations/one.html"`, `"mark":"tied"`, `"text":"hung"`, `"lines":["target"]`} {
		if !strings.Contains(string(option), want) {
			t.Errorf("the options lack %s", want)
		}
	}
}

func TestHostileNumbers(t *testing.T) {
	for _, v := range []float64{0, math.SmallestNonzeroFloat64, -1, 1e308, -1e308, math.MaxFloat64, math.Inf(1), math.NaN()} {
		for _, kind := range []Kind{Bars, Dots, Pairs} {
			c := Chart{ID: "x", Kind: kind, Rows: []Row{{HasValue: true, Value: v, HasFrom: true, From: -v, HasInterval: true, Low: v, High: v, Readings: []float64{v, 1}}}}
			if s := c.SVG(); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
				t.Errorf("%v: %s", v, s)
			}
		}
		c := Chart{ID: "x", Kind: Response, Series: []Series{{Points: []Point{{X: v, Y: v}, {X: 1, Y: 2}}, Curve: []Point{{X: 1, Y: v}, {X: 2, Y: 3}}}}}
		if s := c.SVG(); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Errorf("response %v: %s", v, s)
		}
	}
}

func TestAxisCoversAndStepsRoundly(t *testing.T) {
	for _, c := range []struct {
		values    []float64
		zero      bool
		low, high float64
		step      float64
	}{
		{[]float64{41, 61}, true, 0, 80, 20},
		{[]float64{98, 112}, false, 95, 115, 5},
		{[]float64{-3, 12}, false, -5, 15, 5},
		{[]float64{5}, true, 0, 5, 1},
	} {
		a := newAxis(c.values, c.zero, 5)
		if a.low != c.low || a.high != c.high || a.step != c.step {
			t.Errorf("%v: %v to %v by %v, want %v to %v by %v", c.values, a.low, a.high, a.step, c.low, c.high, c.step)
		}
	}
}

func TestCSVDefusesFormulas(t *testing.T) {
	c := Chart{Head: Head{Label: "l"}, Rows: []Row{{Label: "=HYPERLINK(\"x\")", Text: "+3 %", HasValue: true, Value: -3}}}
	rows, err := csv.NewReader(strings.NewReader(string(c.CSV()))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := rows[1]; got[0] != "'=HYPERLINK(\"x\")" || got[2] != "-3" || got[5] != "+3 %" {
		t.Errorf("the row is %q", got)
	}
}
