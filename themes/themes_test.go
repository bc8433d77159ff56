package themes

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
)

func TestEveryThemeSetsEveryTokenAndNoOther(t *testing.T) {
	for _, name := range Names() {
		values, err := Values(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range values {
			if v == "" {
				t.Errorf("theme %q does not set --%s", name, tokens[i].Name)
			}
		}
		text, _ := files.ReadFile(name + "/tokens.css")
		if n := len(declaration.FindAllString(string(text), -1)); n != len(tokens) {
			t.Errorf("theme %q sets %d tokens, %d are documented", name, n, len(tokens))
		}
	}
}

// A token that no rule uses is a promise to theme authors that nothing keeps,
// and a rule that uses a token that does not exist falls back in silence.
func TestRulesAndTokensAgree(t *testing.T) {
	use := regexp.MustCompile(`var\(--([a-z0-9-]+)`)
	used := map[string]bool{}
	for _, name := range styles {
		for _, folder := range append([]string{"base"}, Names()...) {
			text, err := files.ReadFile(folder + "/" + name)
			if err != nil {
				continue
			}
			for _, m := range use.FindAllStringSubmatch(string(text), -1) {
				used[m[1]] = true
			}
		}
	}
	known := map[string]bool{}
	for _, tk := range tokens {
		known[tk.Name] = true
		if !used[tk.Name] {
			t.Errorf("no rule uses --%s", tk.Name)
		}
	}
	for name := range used {
		if !known[name] && !strings.HasPrefix(name, "chart-") {
			t.Errorf("a rule uses --%s, which is no token", name)
		}
	}
}

// Text has 4.5 : 1 and what is drawn 3 : 1 against every ground it stands on,
// by day and by night (WCAG 2.2, 1.4.3 and 1.4.11).
func TestContrast(t *testing.T) {
	grounds := []string{"paper", "sheet", "tint"}
	text := map[string][]string{
		"ink": append(grounds, "caution-paper"), "muted": append(grounds, "caution-paper"), "link": append(grounds, "caution-paper"),
		"caution": {"paper", "caution-paper", "tint", "sheet"},
	}
	drawn := map[string][]string{"better": grounds, "worse": grounds, "even": grounds, "focus": grounds, "rule-strong": {"paper"}}
	for i := 1; i <= 6; i++ {
		drawn[fmt.Sprintf("series-%d", i)] = []string{"paper"}
	}
	for _, name := range Names() {
		values, err := Values(name)
		if err != nil {
			t.Fatal(err)
		}
		of := map[string]string{}
		for i, tk := range tokens {
			of[tk.Name] = values[i]
		}
		for scheme, at := range map[string]int{"light": 0, "dark": 1} {
			for want, pairs := range map[float64]map[string][]string{4.5: text, 3: drawn} {
				for front, backs := range pairs {
					for _, back := range backs {
						if c := contrast(shade(t, of[front], at), shade(t, of[back], at)); c < want {
							t.Errorf("theme %q, %s: --%s on --%s has %.2f : 1, needs %g : 1", name, scheme, front, back, c, want)
						}
					}
				}
			}
		}
	}
}

var lightDark = regexp.MustCompile(`^light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)$`)

// shade gives the relative luminance of a token's colour: 0 light, 1 dark.
func shade(t *testing.T, value string, at int) float64 {
	t.Helper()
	m := lightDark.FindStringSubmatch(value)
	if m == nil {
		t.Fatalf("%q is not light-dark(#rrggbb, #rrggbb)", value)
	}
	var l float64
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, _ := strconv.ParseUint(m[at+1][1+2*i:3+2*i], 16, 8)
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		l += weight * c
	}
	return l
}

func contrast(a, b float64) float64 {
	return (max(a, b) + 0.05) / (min(a, b) + 0.05)
}

func TestAProjectReplacesFilesByName(t *testing.T) {
	own := fstest.MapFS{
		"based-on.txt": {Data: []byte("job-card\n")},
		"tokens.css":   {Data: []byte("@layer tokens { :root { --paper: red; } }")},
		"rule.html":    {Data: []byte(`{{define "main"}}mine{{end}}`)},
		"logo.svg":     {Data: []byte("<svg/>")},
		"README.md":    {Data: []byte("for the author")},
	}
	th, err := Load("", own)
	if err != nil {
		t.Fatal(err)
	}
	if th.Name != "job-card" {
		t.Errorf("the theme is %q, want job-card", th.Name)
	}
	if text, _ := th.Template("rule.html"); !strings.Contains(text, "mine") {
		t.Error("the template was not replaced")
	}
	if text, _ := th.Template("overview.html"); !strings.Contains(text, "define") {
		t.Error("a template that was not replaced is gone")
	}
	assets := map[string]string{}
	for _, a := range th.Assets {
		assets[a.Name] = string(a.Bytes)
	}
	if !strings.Contains(assets["style.css"], "--paper: red") || strings.Contains(assets["style.css"], "#faf5e8") {
		t.Error("the tokens were not replaced")
	}
	if !strings.Contains(assets["style.css"], "border-block-end-style: dashed") {
		t.Error("the rules of the theme that it is based on are gone")
	}
	if assets["logo.svg"] != "<svg/>" {
		t.Error("a file of the project's own is not published")
	}
	for _, no := range []string{"README.md", "based-on.txt", "tokens.css", "rule.html"} {
		if _, ok := assets[no]; ok {
			t.Errorf("%q was published", no)
		}
	}
}

func TestUnknownThemeIsRefused(t *testing.T) {
	_, err := Load("marble", nil)
	if err == nil || !strings.Contains(err.Error(), "surface-plate, marking-blue, job-card") {
		t.Errorf("got %v, want a list of the themes", err)
	}
}

func TestScriptsAndStylesAskNothingOfThePolicy(t *testing.T) {
	th, err := Load("", nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range th.Assets {
		if strings.HasPrefix(a.Name, "echarts") {
			continue
		}
		for _, no := range []string{"eval(", "new Function", "innerHTML", "document.write", "@import", "//cdn", "https://"} {
			if strings.Contains(string(a.Bytes), no) {
				t.Errorf("%s holds %q", a.Name, no)
			}
		}
	}
}
