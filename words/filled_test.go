package words

import (
	"strings"
	"testing"
)

// A phrase is filled as strings.Replacer fills it.
func FuzzFilled(f *testing.F) {
	f.Add("{n} of {all} pairs", "n", "3", "all", "{n}")
	f.Add("{a{n}} {", "n", "", "a", "x")
	f.Add("no gap }{", "", "?", "gap", "}")
	f.Add("{}{n}{n", "", "empty", "n", "1")
	f.Fuzz(func(t *testing.T, phrase, a, x, b, y string) {
		if strings.ContainsAny(a+b, "{}") {
			return // the names of gaps are words
		}
		want := strings.NewReplacer("{"+a+"}", x, "{"+b+"}", y).Replace(phrase)
		if got := filled(phrase, []string{a, x, b, y}); got != want {
			t.Errorf("%q gives %q, want %q", phrase, got, want)
		}
	})
}
