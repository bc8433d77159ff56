package themes

import (
	"fmt"
	"regexp"
	"strings"
)

// Token is one design token: a CSS custom property of tokens.css.
type Token struct {
	// Name without the two hyphens.
	Name string
	// Text says what it is used for.
	Text string
}

// tokens lists every token, in the order of the files. Docs and tests read it.
var tokens = [...]Token{
	{"paper", "the page"},
	{"sheet", "what lies on the page: a row under the pointer, code"},
	{"ink", "text"},
	{"muted", "small print; readable on paper, sheet and tint"},
	{"rule", "thin lines"},
	{"rule-strong", "heavy lines: heads of tables, sections"},
	{"link", "links"},
	{"focus", "the ring around what the keyboard is on"},
	{"tint", "what differs, the baseline's row"},
	{"better", "mark of an interval on the better side; its shape is a dot"},
	{"worse", "mark of an interval on the worse side; its shape is a lozenge"},
	{"even", "line at \"no difference\", marks that claim nothing"},
	{"caution", "cautions, failures, reservations"},
	{"caution-paper", "ground of a caution"},
	{"series-1", "data, first"},
	{"series-2", "data, second"},
	{"series-3", "data, third"},
	{"series-4", "data, fourth"},
	{"series-5", "data, fifth"},
	{"series-6", "data, sixth"},
	{"font-text", "type of prose and tables"},
	{"font-head", "type of headings"},
	{"font-figure", "type of the large figures"},
	{"font-code", "type of code and places in files"},
	{"weight-head", "weight of headings"},
	{"weight-figure", "weight of the large figures"},
	{"space-head", "letter spacing of headings"},
	{"case-kicker", "text-transform of the small line above a heading"},
	{"size", "size of prose"},
	{"size-small", "size of small print"},
	{"size-table", "size of tables"},
	{"measure", "length of a line of prose"},
	{"page", "width of the page"},
	{"edge", "margin at the sides"},
	{"gap", "space between neighbours"},
	{"cell-x", "space at the sides of a table cell"},
	{"cell-y", "space above and below in a table cell"},
	{"corner", "radius of corners"},
	{"thin", "width of thin lines"},
	{"thick", "width of heavy lines"},
}

// Tokens lists every design token with what it is used for.
func Tokens() []Token { return append([]Token(nil), tokens[:]...) }

var declaration = regexp.MustCompile(`--([a-z0-9-]+):\s*([^;]+);`)

// Values gives the value that a built-in theme has for each token, in the order
// of Tokens.
func Values(theme string) ([]string, error) {
	text, err := files.ReadFile(theme + "/tokens.css")
	if err != nil {
		return nil, fmt.Errorf("no theme is called %q", theme)
	}
	of := map[string]string{}
	for _, m := range declaration.FindAllStringSubmatch(string(text), -1) {
		of[m[1]] = strings.Join(strings.Fields(m[2]), " ")
	}
	out := make([]string, len(tokens))
	for i, t := range tokens {
		out[i] = of[t.Name]
	}
	return out, nil
}
