package words_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"benchwright/words"
)

var gap = regexp.MustCompile(`\{[^}]*\}`)

// others are the languages that are held against the default.
func others(t *testing.T) []*words.Book {
	t.Helper()
	var out []*words.Book
	for _, l := range words.Languages() {
		if l != words.Default {
			out = append(out, words.For(l))
		}
	}
	if len(out) == 0 {
		t.Fatal("the default is the only language")
	}
	return out
}

func TestEveryLanguageSaysTheSameThings(t *testing.T) {
	all := words.For(words.Default)
	for _, b := range others(t) {
		for _, key := range all.Keys() {
			if !b.Has(key) {
				t.Errorf("%s does not have %q", b.Language, key)
			}
		}
		for _, key := range b.Keys() {
			if !all.Has(key) {
				t.Errorf("%s has %q, which nothing asks for", b.Language, key)
			}
		}
	}
}

// A gap may stand elsewhere in another language, and twice, but each is there.
func TestEveryLanguageFillsTheSameGaps(t *testing.T) {
	gaps := func(phrase string) []string {
		list := gap.FindAllString(phrase, -1)
		slices.Sort(list)
		return slices.Compact(list)
	}
	all := words.For(words.Default)
	for _, b := range others(t) {
		for _, key := range b.Keys() {
			if want, got := gaps(all.Say(key)), gaps(b.Say(key)); !slices.Equal(want, got) {
				t.Errorf("%s: %q has the gaps %v, not %v", b.Language, key, got, want)
			}
		}
	}
}

// The ends of a range are cut out of its phrase, low before high.
func TestARangeRunsUpwards(t *testing.T) {
	for _, l := range words.Languages() {
		phrase := words.For(l).Say("figure.range")
		if low, high := strings.Index(phrase, "{low}"), strings.Index(phrase, "{high}"); low < 0 || high < low {
			t.Errorf("%s: %q", l, phrase)
		}
	}
}

func TestPhrasesAreWhole(t *testing.T) {
	for _, l := range words.Languages() {
		b := words.For(l)
		for _, key := range b.Keys() {
			phrase := b.Say(key)
			if phrase == "" || phrase != strings.TrimSpace(phrase) {
				t.Errorf("%s: %q is empty or has blanks around it: %q", l, key, phrase)
			}
			if rest := gap.ReplaceAllString(phrase, ""); strings.ContainsAny(rest, "{}⟪⟫") {
				t.Errorf("%s: a gap of %q is broken: %q", l, key, phrase)
			}
			if strings.Contains(phrase, "  ") || strings.ContainsAny(phrase, "\n\t\"") {
				t.Errorf("%s: %q has doubled blanks, line ends or straight quotation marks: %q", l, key, phrase)
			}
			if one, ok := strings.CutSuffix(key, ".one"); ok && !b.Has(one+".other") {
				t.Errorf("%s: %q counts to one and no further", l, one)
			}
		}
	}
}

func TestDecimalMarks(t *testing.T) {
	for language, mark := range map[string]string{"en-GB": ".", "de": ","} {
		if b := words.For(language); b.Decimal != mark || b.Say("number.decimal") != mark {
			t.Errorf("%s writes decimals with %q", language, b.Decimal)
		}
	}
	for _, l := range words.Languages() {
		if mark := words.For(l).Decimal; mark != "." && mark != "," {
			t.Errorf("%s: the scripts know no decimal mark %q", l, mark)
		}
	}
}

// A phrase that is the same in two languages was forgotten, unless it is made
// of gaps and signs, names a source, or is one of the months with one name.
func TestNothingIsLeftInEnglish(t *testing.T) {
	same := regexp.MustCompile(`^formula\.[a-z-]+\.source$|^page\.month\.`)
	all := words.For(words.Default)
	for _, b := range others(t) {
		for _, key := range b.Keys() {
			phrase := b.Say(key)
			if phrase == all.Say(key) && !same.MatchString(key) && strings.ContainsFunc(gap.ReplaceAllString(phrase, ""), unicode.IsLetter) {
				t.Errorf("%s: %q is still English: %q", b.Language, key, phrase)
			}
		}
	}
}

// Words that are English and not German; titles of sources keep theirs.
func TestNoEnglishWordInGerman(t *testing.T) {
	english := regexp.MustCompile(`(?i)\b(the|of|and|with|from|is|are|by|on|readings?|baseline|levels?|factors?|workloads?|intervals?|spread|figures?|findings?)\b`)
	raw := regexp.MustCompile(`„[^“]*“|\((ratio|interval)\)`)
	b := words.For("de")
	for _, key := range b.Keys() {
		if strings.HasSuffix(key, ".source") && strings.HasPrefix(key, "formula.") {
			continue
		}
		phrase := raw.ReplaceAllString(gap.ReplaceAllString(b.Say(key), ""), "")
		if word := english.FindString(phrase); word != "" {
			t.Errorf("%q says %q: %q", key, word, phrase)
		}
	}
}

// German typography: „…“ around quotations, a no-break space before a per cent
// sign, and no hyphen where a minus belongs (DIN 5008; from memory).
func TestGermanTypography(t *testing.T) {
	b := words.For("de")
	loose := regexp.MustCompile(`[0-9}] %|(^|[ (])-[0-9{]|[0-9]\.[0-9]+ ?%`)
	for _, key := range b.Keys() {
		phrase := b.Say(key)
		depth := 0
		for _, r := range phrase {
			switch r {
			case '„':
				depth++
			case '“':
				depth--
			case '”', '‘':
				t.Errorf("%q has a quotation mark of another language: %q", key, phrase)
			}
			if depth < 0 || depth > 1 {
				t.Errorf("%q quotes in the wrong order: %q", key, phrase)
				break
			}
		}
		if depth != 0 {
			t.Errorf("%q does not close its quotation: %q", key, phrase)
		}
		// A word that a gap begins stays in one line: 95 %-Vertrauensbereich.
		if breaks := regexp.MustCompile(`[}%]-\pL`).FindString(phrase); breaks != "" {
			t.Errorf("%q may break at the hyphen of %q, which U+2011 is for: %q", key, breaks, phrase)
		}
		if at := loose.FindString(phrase); at != "" {
			t.Errorf("%q has a loose %q: %q", key, at, phrase)
		}
	}
}

func TestLanguageTags(t *testing.T) {
	for tag, want := range map[string]string{
		"de": "de", "de-AT": "de", "de-CH-1996": "de", "en-GB": "en-GB", "en": "en-GB", "en-US": "en-GB", "fr": "en-GB", "": "en-GB", "den": "en-GB",
	} {
		if b := words.For(tag); b.Language != want {
			t.Errorf("%q is spoken as %q, not %q", tag, b.Language, want)
		}
	}
}

func TestSaying(t *testing.T) {
	b := words.For("de")
	for got, want := range map[string]string{
		b.Say("figure.range", "low", "1,5", "high", "2,5 s"):                            "1,5 bis 2,5 s",
		b.Say("figure.range", "high", "{low}", "low", "1"):                              "1 bis {low}", // what fills a gap is not read for gaps
		b.Count("page.count.readings", 1):                                               "1 Messwert",
		b.Count("page.count.readings", 0):                                               "0 Messwerte",
		b.Count("changes.figures.beyond", 3, "outside", "2", "all", "9"):                "3 von 9 verfolgten Kennwerten haben sich geändert, 2 davon über ihre alten Vertrauensbereiche hinaus.",
		b.Say("no.such.key"):                                                            "⟪no.such.key⟫",
		b.Say("page.date", "day", "7", "month", b.Say("page.month.03"), "year", "2026"): "7. März 2026",
	} {
		if got != want {
			t.Errorf("%q, not %q", got, want)
		}
	}
}
