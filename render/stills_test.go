package render

import (
	"bytes"
	"image"
	"image/png"
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
	"benchwright/render/chart"
	"benchwright/report"
	"benchwright/sample-project"
	"benchwright/schema"
	"benchwright/themes"
	"benchwright/words"
)

func sampleStills(t *testing.T) []File {
	t.Helper()
	folder, _ := schema.Read(sampleproject.Files())
	p, _ := project.Load(folder)
	theme, err := themes.Load(themes.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	files, err := Stills(report.Build(p, design.NewSpace(p), nil, report.Options{}), theme)
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// TestStillsKeepTheirMarginsFree: nothing is drawn outside the part of a frame
// that every screen shows, and every frame has its size.
func TestStillsKeepTheirMarginsFree(t *testing.T) {
	files := sampleStills(t)
	if len(files) == 0 {
		t.Fatal("no stills")
	}
	for _, f := range files {
		img, err := png.Decode(bytes.NewReader(f.Data))
		if err != nil {
			t.Fatalf("%s: %v", f.Path, err)
		}
		want := frames[0]
		if strings.HasPrefix(f.Path, frames[1].name+"/") {
			want = frames[1]
		}
		b := img.Bounds()
		if b.Dx() != want.width || b.Dy() != want.height {
			t.Errorf("%s is %d × %d, want %d × %d", f.Path, b.Dx(), b.Dy(), want.width, want.height)
		}
		p, ok := img.(*image.Paletted)
		if !ok {
			t.Fatalf("%s has no palette", f.Path)
		}
		drawn := 0
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x, shade := range p.Pix[y*p.Stride : y*p.Stride+b.Dx()] {
				if shade == p.Pix[0] {
					continue
				}
				drawn++
				// A whisker's end may stand a few points over the edge.
				if x < want.left-4 || x >= want.width-want.right+4 || y < want.top-4 || y >= want.height-want.bottom+12 {
					t.Fatalf("%s: something is drawn at %d, %d, in the margin", f.Path, x, y)
				}
			}
		}
		if drawn < 1000 {
			t.Errorf("%s is all but empty", f.Path)
		}
	}
}

func TestStillsAreTheSameEveryTime(t *testing.T) {
	a, b := sampleStills(t), sampleStills(t)
	for i := range a {
		if a[i].Path != b[i].Path || !bytes.Equal(a[i].Data, b[i].Data) {
			t.Errorf("%s differs between two drawings", a[i].Path)
		}
	}
}

// A still that has no room for every row says which it shows.
func TestAStillSaysWhatItLeavesOut(t *testing.T) {
	s := &site{book: words.For("en-GB")}
	rows := make([]chart.Row, 11)
	rows[9].Mark = chart.Baseline
	for most, want := range map[int]string{11: "", 10: "the best 10 of 11", 6: "the best 5 of 11, and the baseline"} {
		if got := s.shownOf(rows, leading(rows, most)); got != want {
			t.Errorf("%d of 11 rows: %q, not %q", most, got, want)
		}
	}
}
