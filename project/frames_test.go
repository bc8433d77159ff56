package project

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// 300 frames: 297 of 10 ms, then 20, 40 and 60 ms; 3090 ms in all. By hand:
// the mean rate is 300/3.09 s; the slowest hundredth is the last three, 3
// frames in 0.12 s; the 99th percentile (type 7) is at 0.99 × 299 = 296.01
// from zero, a hundredth of the way from the 297th (10) to the 298th (20).
func TestFrameStatistic(t *testing.T) {
	var times []float64
	for range 99 {
		times = append(times, 10, 10, 10)
	}
	times = append(times[:100], append([]float64{60, 20, 40}, times[100:]...)...)
	for name, want := range map[string]float64{
		"mean-rate": 300 / 3.09, "p99-time": 10.1, "rate-at-p99": 1000 / 10.1, "rate-of-slowest-1-percent": 25,
		// 0.95 × 299 = 284.05 lies among those of 10 ms; 0.999 × 299 = 298.701 from
		// zero, 701 thousandths of the way from the 299th (40) to the 300th (60).
		// One frame in 1000, rounded up, is the slowest.
		"p95-time": 10, "p99.9-time": 54.02, "rate-of-slowest-0.1-percent": 1000.0 / 60,
	} {
		got, ok := FrameStatistic(name, times)
		if !ok || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, not %v", name, got, want)
		}
	}
	if times[100] != 60 {
		t.Error("the times were put into another order")
	}
}

func TestFrameStatisticEdges(t *testing.T) {
	for _, name := range frameStatistics {
		if v, ok := FrameStatistic(name, nil); ok {
			t.Errorf("%s of no frames: %v", name, v)
		}
		one, ok := FrameStatistic(name, []float64{20})
		want := 50.0
		if strings.HasSuffix(name, "-time") {
			want = 20
		}
		if !ok || one != want {
			t.Errorf("%s of one frame of 20 ms: %v", name, one)
		}
	}
	if v, ok := FrameStatistic("fastest", []float64{20}); ok {
		t.Errorf("an unknown statistic: %v", v)
	}
	if v, ok := FrameStatistic("mean-rate", []float64{1e308, 1e308}); ok {
		t.Errorf("an overflow: %v", v)
	}
	// 101 frames: the slowest hundredth is rounded up to two.
	times := make([]float64, 101)
	for i := range times {
		times[i] = 10
	}
	times[7] = 30
	if v, _ := FrameStatistic("rate-of-slowest-1-percent", times); math.Abs(v-50) > 1e-9 {
		t.Errorf("two frames in 40 ms: %v", v)
	}
}

// Percentiles hand-checked against the definition of type 7: position
// 0.99·(n−1) in the sorted times.
func TestP99(t *testing.T) {
	hundred := make([]float64, 101)
	for i := range hundred {
		hundred[i] = float64(i + 1)
	}
	if got := percentile(0.99, hundred); math.Abs(got-100) > 1e-9 {
		t.Errorf("1 … 101: %v, not 100", got)
	}
	if got := percentile(0.99, []float64{1, 2}); math.Abs(got-1.99) > 1e-12 {
		t.Errorf("1, 2: %v, not 1.99", got)
	}
}

func TestFrameTimes(t *testing.T) {
	folder := base(t)
	folder["frames/a.csv"].Data = []byte("\xef\xbb\xbf\"frame time\"\r\n16.7\r\n\"16.6\"\r\n\r\n17\r\n")
	p, findings := load(folder)
	if len(findings) != 1 || findings[0].Rule != "few-frames" {
		t.Fatal(printed(findings))
	}
	times, findings := p.FrameTimes("frames/a.csv", "")
	if len(findings) > 0 || len(times) != 3 || times[0] != 16.7 || times[1] != 16.6 || times[2] != 17 {
		t.Errorf("%v\n%s", times, printed(findings))
	}
	if times, findings := p.FrameTimes("frames/none.csv", ""); times != nil || len(findings) != 1 {
		t.Errorf("a file that is not there: %v\n%s", times, printed(findings))
	}
}

// Faults that no text archive can hold, and how many lines have them.
func TestFrameTimesFaults(t *testing.T) {
	good := strings.Repeat("16.7\n", 40)
	for _, c := range []struct{ text, place, message string }{
		{good + "16.7\x00\n", "frames/a.csv:41:5", "a NUL character stands here"},
		{good + "16.7\xe4\n16\xe4\n", "frames/a.csv:41:5", "the byte 0xE4 is not UTF-8, and so it is in 1 more line"},
		{"\xff\xfe1\x006\x00\n\x00", "frames/a.csv:1:1", "a NUL character"},
		{good + strings.Repeat("16,7\n", 900), "frames/a.csv:41:1", `"16,7" has a decimal comma, and so it is in 899 more lines`},
		{good + "1;16.7\n", "frames/a.csv:41:1", `"1;16.7" holds 2 numbers`},
		{good + strings.Repeat("q", 5000), "frames/a.csv:41:1", `qqq…" is not a frame time`},
		{"heading\n", "frames/a.csv", "holds no frame time"},
	} {
		folder := base(t)
		folder["frames/a.csv"].Data = []byte(c.text)
		p, _ := load(folder)
		_, findings := p.FrameTimes("frames/a.csv", "")
		if len(findings) != 1 || findings[0].Place.String() != c.place && !strings.Contains(findings[0].Message, "NUL") || !strings.Contains(findings[0].Message, c.message) {
			t.Errorf("%.60q:\n%s", c.text, printed(findings))
		}
	}
}

// Frame times that look strange and are none the less frame times, and what is
// none.
func TestWhatIsNoFrameTime(t *testing.T) {
	file := func(n int, at func(i int) float64) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "%.4f\n", at(i))
		}
		return b.String()
	}
	wobble := func(i int) float64 { return 1 + 0.03*float64(i*7%5) }
	for name, c := range map[string]struct{ text, want string }{
		"240 frames per second":       {file(400, func(i int) float64 { return 4.1 * wobble(i) }), ""},
		"a menu at 3000":              {file(400, func(i int) float64 { return 0.32 * wobble(i) }), ""},
		"a slide show":                {file(400, func(i int) float64 { return 1000 * wobble(i) }), ""},
		"a slow slide show":           {file(20, func(i int) float64 { return 12000 * wobble(i) }), ""},
		"a cap":                       {file(400, func(int) float64 { return 16.7 }), ""},
		"a few that rise":             {file(9, func(i int) float64 { return 10 + float64(i) }), ""},
		"some that rise":              {file(60, func(i int) float64 { return 10 + float64(i) }), ""},
		"warming up, with one faster": {file(400, func(i int) float64 { return 10 + 0.01*float64(i) - float64(i/399) }), ""},

		"a clock in ms":                 {file(900, func(i int) float64 { return 16.7 * float64(i) }), "points in time"},
		"a clock in coarse steps":       {file(900, func(i int) float64 { return float64(int(1.67*float64(i))) * 10 }), "points in time"},
		"a clock in seconds":            {file(900, func(i int) float64 { return 0.0167 * float64(i+1) }), "points in time"},
		"a clock since the start":       {file(50, func(i int) float64 { return 9e6 + 16.7*float64(i) }), "points in time"},
		"seconds":                       {file(400, func(i int) float64 { return 0.0167 * wobble(i) }), "look like seconds"},
		"seconds, with one of a second": {file(400, func(i int) float64 { return 0.0167*wobble(i) + float64(i/399) }), "look like seconds"},
		"seconds of a slow game":        {file(400, func(i int) float64 { return 0.07 * wobble(i) }), "look like seconds"},
	} {
		folder := base(t)
		folder["frames/a.csv"].Data = []byte(c.text)
		p, _ := load(folder)
		_, findings := p.FrameTimes("frames/a.csv", "")
		if c.want == "" && len(findings) > 0 || c.want != "" && (len(findings) != 1 || !strings.Contains(findings[0].Message, c.want)) {
			t.Errorf("%s:\n%s", name, printed(findings))
		}
	}
}

// Few frames are warned of once, and only where a hundredth of them is meant.
func TestFewFrames(t *testing.T) {
	for _, c := range []struct {
		frames int
		slow   string
		want   int
	}{{99, "p99-time", 1}, {100, "p99-time", 0}, {1, "mean-rate", 0}} {
		folder := base(t)
		folder["frames/a.csv"].Data = []byte(strings.Repeat("16.7\n", c.frames))
		text := string(folder["workloads.yaml"].Data)
		if c.slow == "mean-rate" {
			text = strings.Replace(text, "unit: ms, better: lower, frame-times: p99-time", "unit: fps, better: higher, frame-times: mean-rate", 1)
		}
		folder["workloads.yaml"].Data = []byte(text)
		if _, findings := load(folder); len(findings) != c.want {
			t.Errorf("%d frames, %s:\n%s", c.frames, c.slow, printed(findings))
		}
	}
}

// A log that has more than one column, and a few lines before their headings.
func TestFrameTimesOfAColumn(t *testing.T) {
	const log = "recorder: invented\napplication: flight\n\nindex;\"frame time\";load\n1;16.5;80\n2;17.5;81\n3;16;82\n"
	for _, c := range []struct {
		name, text, column string
		times              []float64
		finding            string // place, message; empty for none
	}{
		{"semicolons", log, "frame time", []float64{16.5, 17.5, 16}, ""},
		{"commas", strings.ReplaceAll(log, ";", ","), "frame time", []float64{16.5, 17.5, 16}, ""},
		{"tabs and Windows line ends", strings.ReplaceAll(strings.ReplaceAll(log, ";", "\t"), "\n", "\r\n"), "frame time", []float64{16.5, 17.5, 16}, ""},
		{"no such column", "index,frame time\n1,16\n", "frametime", nil, `frames/a.csv:1:1 no line of it has a column "frametime", which frame-column names`},
		{"a word", "index,frame time\n1,16\n2,lost\n3,17\n", "frame time", []float64{16, 17}, `frames/a.csv:3:3 "lost" is not a frame time`},
		{"nought", "index,frame time\n10,0\n", "frame time", nil, `frames/a.csv:2:4 a frame time of 0 ms is impossible`},
		{"letters of several bytes before it", "index,frame time\n±½,lost\n", "frame time", nil, `frames/a.csv:2:4 "lost" is not a frame time`},
		{"cut short", "index,frame time\n1,16\n2\n", "frame time", []float64{16}, `frames/a.csv:3:1 the line has 1 cell, and "frame time" is number 2`},
		{"nothing below", "index,frame time\n", "frame time", nil, `frames/a.csv holds no frame time`},
		{"a quotation mark that does not close", "index,frame time\n1,16\n2,\"17\n", "frame time", []float64{16, 17}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := base(t)
			folder["frames/a.csv"].Data = []byte(c.text)
			p, _ := load(folder)
			times, findings := p.FrameTimes("frames/a.csv", c.column)
			if !slices.Equal(times, c.times) {
				t.Errorf("%v, want %v", times, c.times)
			}
			said := ""
			if len(findings) > 0 {
				said = findings[0].Place.String() + " " + findings[0].Message
			}
			if said != c.finding {
				t.Errorf("%q, want %q", said, c.finding)
			}
		})
	}
}

// The figures of a log with several columns are those of its times alone, also of
// a workload that shares the files.
func TestFiguresOfAColumn(t *testing.T) {
	plain := base(t)
	times := strings.Fields(string(plain["frames/a.csv"].Data))
	first, _ := load(plain)
	table := base(t)
	var b strings.Builder
	b.WriteString("frame,ms,load\n")
	for i, time := range times {
		if _, err := strconv.ParseFloat(time, 64); err == nil {
			fmt.Fprintf(&b, "%d,%s,80\n", i, time)
		}
	}
	for name, file := range table {
		if strings.HasPrefix(name, "frames/") {
			file.Data = []byte(b.String())
		}
	}
	text := string(table["workloads.yaml"].Data)
	table["workloads.yaml"].Data = []byte(strings.Replace(text, "frame-times: mean-rate}", "frame-times: mean-rate, frame-column: ms}", 1))
	second, findings := load(table)
	compared := 0
	for _, id := range []string{"game", "game-slow"} {
		for c := range first.Configurations {
			a, b := first.ReadingsOf(c, first.Workload(id).Index), second.ReadingsOf(c, second.Workload(id).Index)
			for i := range a {
				if first.Written(&first.Readings[a[i]]) != "frames/a.csv" {
					continue
				}
				compared++
				if i >= len(b) || first.Readings[a[i]].Value != second.Readings[b[i]].Value {
					t.Errorf("%s: another figure\n%s", id, printed(findings))
				}
			}
		}
	}
	if compared < 2 {
		t.Errorf("%d figures compared", compared)
	}
}
