package schema

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

// nodes lists the scalars of a document with tag and place.
func nodes(n *yaml.Node) []string {
	if n.Kind == yaml.ScalarNode {
		return []string{fmt.Sprintf("%d:%d %s %q", n.Line, n.Column, n.Tag, n.Value)}
	}
	var out []string
	for _, c := range n.Content {
		out = append(out, nodes(c)...)
	}
	return out
}

func TestScalarsAreWhatTheyLookLike(t *testing.T) {
	for written, want := range map[string]string{
		"yes": tagText, "no": tagText, "on": tagText, "Off": tagText, "True": tagText, "true": tagBool, "false": tagBool,
		"2031-04-12": tagText, "19:30": tagText, "1.10": tagFloat, "15": tagInt, "-3": tagInt, "+3": tagInt, ".5": tagFloat, "1e3": tagFloat,
		"0x1F": tagText, "0o17": tagText, "1_000": tagText, "010": tagInt, ".inf": tagText, ".nan": tagText, "15 W": tagText, "1,5": tagText,
		"null": tagNull, "~": tagNull, "Null": tagText, `"15"`: tagText, "'true'": tagText, "!!str 15": tagText, "1e999": tagText, "5.": tagFloat,
	} {
		d, fs := parse("a.yaml", []byte("a: "+written+"\n"))
		if d == nil || len(fs) > 0 {
			t.Errorf("%s: findings %v", written, fs)
			continue
		}
		if got := d.Root.Content[1].Tag; got != want {
			t.Errorf("%s is %s, want %s", written, got, want)
		}
	}
}

func TestAliasesAreReplacedAndPlaced(t *testing.T) {
	d, fs := parse("a.yaml", []byte("é: &x {k: [1, ü]}\nb: *x\nc: &s text\nd: [*s, *s]\n*s : 1\n"))
	if len(fs) > 0 {
		t.Fatalf("findings %v", fs)
	}
	want := []string{`1:1 !!str "é"`, `1:8 !!str "k"`, `1:12 !!int "1"`, `1:15 !!str "ü"`,
		`2:1 !!str "b"`, `1:8 !!str "k"`, `1:12 !!int "1"`, `1:15 !!str "ü"`,
		`3:1 !!str "c"`, `3:4 !!str "text"`, `4:1 !!str "d"`, `4:5 !!str "text"`, `4:9 !!str "text"`, `5:1 !!str "text"`, `5:6 !!int "1"`}
	if got := nodes(d.Root); !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
	if b := d.Root.Content[3]; b.Line != 2 || b.Column != 4 || b.Kind != yaml.MappingNode {
		t.Errorf("the alias stands at %d:%d", b.Line, b.Column)
	}
}

func TestEveryValueFaultIsPlaced(t *testing.T) {
	// All faults of a file come at once, each at its own place.
	files := baseFiles(t)
	files["report.yaml"] = []byte(strings.Join([]string{
		"titel: Two channels", "author: [{name: A, mail: b}]", "date: 12 April", "licence: CC-BY-4.0", "baseline: reference",
		"confidence: 1.5", "questions:", "  - id: Second Channel", "    ask: What?", "    factor: memory-channels", "    from: [1]", "    to:", ""}, "\n"))
	var got []string
	for _, f := range readAll(memory(files)) {
		got = append(got, fmt.Sprintf("%d:%d %s", f.Line, f.Column, f.Rule))
	}
	want := []string{"1:1 unknown-key", "2:20 unknown-key", "3:7 bad-date", "6:13 not-allowed-value", "8:9 bad-id", "11:11 wrong-type", "12:5 wrong-type"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

func TestValidTellsWhetherTheSchemaIsContent(t *testing.T) {
	folder, _ := Read(memory(baseFiles(t)))
	if !folder.Report.Valid || !folder.Bench.Valid || len(folder.Configurations) != 2 || !folder.Configurations[1].Valid {
		t.Error("a document of the base is not valid")
	}
	files := caseFiles(t, "key-misspelt")
	folder, _ = Read(memory(files))
	if folder.Bench.Valid || !folder.Report.Valid {
		t.Error("the misspelt key is not to be seen from the document")
	}
}

// The validator walks maps in an order that differs from run to run.
func TestFindingsComeInTheSameOrder(t *testing.T) {
	files := baseFiles(t)
	files["workloads.yaml"] = []byte("workloads:\n  A: {lable: x, unti: s, beter: low}\n  B: {label: 3, unit: s, better: low, metric: [], x: 1, y: 2, z: 3}\n  c: {}\n")
	first := printed(readAll(memory(files)))
	for range 50 {
		if again := printed(readAll(memory(files))); again != first {
			t.Fatalf("first:\n%s\nthen:\n%s", first, again)
		}
	}
}

func TestAByteOrderMarkDoesNotCount(t *testing.T) {
	files := baseFiles(t)
	files["report.yaml"] = append([]byte("\xef\xbb\xbf"), strings.Replace(string(files["report.yaml"]), "title: A", "title: [A]\n#", 1)...)
	folder, all := Read(memory(files))
	if got := brief(all); !slices.Equal(got, []string{"1:8 error wrong-type"}) {
		t.Errorf("got %v", got)
	}
	if text, ok := folder.Text("report.yaml"); !ok || !strings.HasPrefix(string(text), "title") {
		t.Errorf("the text begins with %q", text[:8])
	}
}

func TestConfigurationsInOneFile(t *testing.T) {
	files := baseFiles(t)
	delete(files, "configurations/two-channels.yaml")
	files["configurations/rest.yaml"] = []byte("configurations:\n  two-channels: {based-on: reference, set: {memory-channels: 2}}\n  Bad: {label: x, id: y}\n")
	got := brief(readAll(memory(files)))
	if want := []string{"3:3 error bad-id", "3:19 error unknown-key"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
