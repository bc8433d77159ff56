package edition

import (
	"slices"
	"strings"
	"testing"

	sampleproject "benchwright/sample-project"
)

// The order of configurations that report.yaml asks for is that of the site,
// and no figure is another.
func TestConfigurationsStandInTheOrderThatIsAskedFor(t *testing.T) {
	rows := func(text []byte) []string { return strings.Split(strings.TrimSpace(string(text)), "\n") }
	ids := func(text []byte) (all []string) {
		for _, row := range rows(text)[1:] {
			id, _, _ := strings.Cut(row, ",")
			all = append(all, id)
		}
		return all
	}
	sample := folder(t, sampleproject.Files())
	before := asFS(publish(t, sample, PublishOptions{}).Files)
	replace(t, sample, "report.yaml", "\nbaseline:", "\nconfiguration-order: [two-35-thick, one-15-thin]\nbaseline:")
	after := asFS(publish(t, sample, PublishOptions{}).Files)

	old := ids(before["data/configurations.csv"].Data)
	want := []string{"two-35-thick", "one-15-thin"}
	for _, id := range old {
		if !slices.Contains(want, id) {
			want = append(want, id)
		}
	}
	if got := ids(after["data/configurations.csv"].Data); !slices.Equal(got, want) || slices.Equal(got, old) {
		t.Errorf("configurations.csv has %v, not %v", got, want)
	}
	at := -1
	for _, id := range want {
		next := strings.Index(string(after["index.html"].Data), `<th scope="row"><a href="configurations/`+id+`.html">`)
		if next < 0 {
			continue // without a figure
		}
		if next < at {
			t.Errorf("%s stands too early on the overview", id)
		}
		at = next
	}
	for _, name := range []string{"data/figures.csv", "data/readings.csv"} {
		x, y := rows(before[name].Data), rows(after[name].Data)
		slices.Sort(x)
		slices.Sort(y)
		if !slices.Equal(x, y) {
			t.Errorf("%s holds something else", name)
		}
	}
	if v := mustVerify(t, after); !v.OK() {
		t.Errorf("%+v", v.Differences)
	}
}
