package report

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"benchwright/project"
)

// Run times of five benchmarks on processors R, M and Z: P. J. Fleming,
// J. J. Wallace, "How not to lie with statistics: the correct way to summarize
// benchmark results", CACM 29(3), March 1986, 218–221 (testdata/checks/fleming;
// its geometric means there recomputed in R 4.2.2). Normalised to R, arithmetic
// means put R before M before Z; normalised to M they put M before Z before R.
// Geometric means put Z first and R last whichever is the baseline.
func TestFlemingWallace(t *testing.T) {
	folder := filepath.Join("..", "testdata", "checks", "fleming")
	rows := readCSV(t, filepath.Join(folder, "fleming_wallace_times.csv"))
	reference := map[string]float64{}
	for _, row := range readCSV(t, filepath.Join(folder, "ref_fleming_wallace.csv")) {
		if v, err := strconv.ParseFloat(row[2], 64); err == nil {
			reference[row[0]+" "+row[1]] = v
		}
	}
	m := make1()
	m.factor("processor", project.Studied, "", "R", "M", "Z")
	s := m.session("s")
	for _, name := range []string{"R", "M", "Z"} {
		m.configuration(name, name)
	}
	for w, row := range rows[1:] {
		m.workload(strings.ToLower(row[0]), "s", false)
		for c := range 3 {
			m.read(c, w, s, row[1+c])
		}
	}
	m.overall()
	r := m.build(t)
	for b, baseline := range []string{"R", "M", "Z"} {
		arithmetic := [3]float64{}
		geometric := [3]float64{}
		for c, name := range []string{"R", "M", "Z"} {
			geometric[c] = r.CompositeOf(0, b, c).Figure.Value
			// Times there, performance here: one over the other.
			want := 1 / reference["normalised_to_"+baseline+" geo_mean|"+name]
			if math.Abs(geometric[c]-want) > 1e-13*want {
				t.Errorf("%s against %s is %v, want %v", name, baseline, geometric[c], want)
			}
			arithmetic[c] = reference["normalised_to_"+baseline+" arith_mean|"+name]
		}
		if !(geometric[2] > geometric[1] && geometric[1] > geometric[0]) {
			t.Errorf("against %s the order is not Z, M, R: %v", baseline, geometric)
		}
		// What is avoided: the mean of normalised times is least for the baseline.
		for c := range arithmetic {
			if c != b && arithmetic[c] <= arithmetic[b] && baseline != "Z" {
				t.Errorf("the arithmetic mean against %s does not prefer the baseline: %v", baseline, arithmetic)
			}
		}
	}
	if first := r.Composites[0].Order[0].Configuration; first != 2 {
		t.Errorf("first is %d, want Z", first)
	}
}

func readCSV(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}
