package schema

import (
	"fmt"
	"strings"
	"testing"
)

// Files made to cost much. None of them is timed: a fault here shows as a test
// that does not end, or that runs out of memory.
func TestHostileFilesCostLittle(t *testing.T) {
	if testing.Short() {
		t.Skip("some seconds of work")
	}
	fill := func(head, line string) string { return head + strings.Repeat(line, (LargestText-len(head))/len(line)) }
	numbered := func(head, format string, n int) string {
		var b strings.Builder
		b.WriteString(head)
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	for name, c := range map[string]struct{ file, text string }{
		"brackets":                    {"report.yaml", strings.Repeat("[", LongestLine)},
		"braces over many lines":      {"report.yaml", fill("a: ", "{a: \n")},
		"lines of CR alone":           {"report.yaml", fill("a: 1\r", "\r")},
		"comments":                    {"report.yaml", fill("a: 1\n", "# x\n")},
		"unknown keys":                {"report.yaml", numbered("title: x\n", "key-%d: 1\n", 10000)},
		"bad ids":                     {"workloads.yaml", numbered("workloads:\n", "  Bad_%d: {}\n", 10000)},
		"items that lack keys":        {"report.yaml", numbered("questions:\n", "  - {id: q-%d}\n", 10000)},
		"one key, many times":         {"report.yaml", fill("", "title: x\n")},
		"aliases of aliases":          {"report.yaml", numbered("a0: &a0 [x]\n", "b%[1]d: &a%[1]d [*a0]\n", 10000)},
		"a long chain of aliases":     {"report.yaml", chain(2000)},
		"long quoted keys":            {"report.yaml", numbered("title: x\n", "? \""+strings.Repeat("k", 900)+"%d\"\n: 1\n", 4000)},
		"text that never closes":      {"report.yaml", fill("a: \"", "x y\n")},
		"dashes":                      {"report.yaml", strings.Repeat("- ", LongestLine/2)},
		"question marks":              {"report.yaml", strings.Repeat("? ", LongestLine/2)},
		"colons":                      {"report.yaml", strings.Repeat(": ", LongestLine/2)},
		"anchors":                     {"report.yaml", numbered("", "k%[1]d: &a%[1]d 1\n", 10000)},
		"a table of quotes":           {"results/evening.csv", strings.Repeat("\"", 2<<20)},
		"a table of open quotes":      {"results/evening.csv", "configuration,value\n" + strings.Repeat("\"a\n", 1<<20)},
		"a table of half-open quotes": {"results/evening.csv", "configuration,value\n" + strings.Repeat("a,\"b\"c\n", 1<<20)},
		"a table of lone CRs":         {"results/evening.csv", "configuration,value\r" + strings.Repeat("a,1\r", 1<<20)},
		"CRs inside lines":            {"results/evening.csv", "configuration,value\n" + strings.Repeat("a,1\r", 1<<20)},
		"a table of commas":           {"results/evening.csv", strings.Repeat(",", LongestLine-1) + "\n"},
		"a table of line breaks":      {"results/evening.csv", "configuration,value\n" + strings.Repeat("\n", 2<<20)},
	} {
		t.Run(name, func(t *testing.T) {
			files := baseFiles(t)
			files[c.file] = []byte(c.text)
			all := readAll(memory(files))
			if strings.HasPrefix(name, "comments") || name == "a table of lone CRs" || name == "a table of line breaks" || name == "CRs inside lines" {
				return
			}
			if len(all) == 0 {
				t.Error("nothing was found")
			}
			if len(all) > 2*mostFaults {
				t.Errorf("%d findings", len(all))
			}
		})
	}
}

func chain(n int) string {
	var b strings.Builder
	b.WriteString("a0: &a0 [x]\n")
	for i := 1; i < n; i++ {
		fmt.Fprintf(&b, "a%d: &a%d [*a%d]\n", i, i, i-1)
	}
	return b.String()
}
