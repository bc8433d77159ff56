package stats

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// table reads a CSV of check values; see testdata/checks/SOURCES.md for where
// each comes from.
func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../testdata/checks/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, k := range rows[0] {
			m[k] = r[i]
		}
		out = append(out, m)
	}
	if len(out) == 0 {
		t.Fatalf("%s is empty", name)
	}
	return out
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func column(t testing.TB, name, key string) []float64 {
	t.Helper()
	var v []float64
	for _, r := range table(t, name) {
		v = append(v, number(t, r[key]))
	}
	return v
}

// reference gives the values of a "check, quantity, value" file by
// "check/quantity".
func reference(t testing.TB, name string) map[string]string {
	t.Helper()
	m := map[string]string{}
	for _, r := range table(t, name) {
		m[r["check"]+"/"+r["quantity"]] = r["value"]
	}
	return m
}

func want(t testing.TB, ref map[string]string, key string) float64 {
	t.Helper()
	s, ok := ref[key]
	if !ok {
		t.Fatalf("no check value %q", key)
	}
	return number(t, s)
}

// near fails unless got is within rel of want, relatively, or within 1e-300.
func near(t testing.TB, what string, got, want, rel float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > rel*math.Abs(want)+1e-300 {
		t.Errorf("%s = %.17g, want %.17g (relative error %.2g, allowed %.2g)", what, got, want, math.Abs(got-want)/math.Abs(want), rel)
	}
}

// within fails unless got is within abs of want.
func within(t testing.TB, what string, got, want, abs float64) {
	t.Helper()
	if !(math.Abs(got-want) <= abs) {
		t.Errorf("%s = %.17g, want %.17g ± %g", what, got, want, abs)
	}
}

func ok(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
