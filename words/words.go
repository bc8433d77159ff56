// Package words holds what the report and its pages say, language by
// language: labels, phrases with named gaps, and how numbers are written.
//
// In: a language tag from report.yaml. Out: a Book. A language is one file,
// LANGUAGE.yaml, with a flat map from key to phrase. A phrase that counts has
// two keys, KEY.one and KEY.other. It imports no package of this module.
//
//	b := words.For("en-GB")
//	b.Say("cell.readings", "n", "5") // "5 readings"
package words

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"
)

//go:embed *.yaml
var files embed.FS

// Default is the language of a report that names none, and the one that fills
// the gaps of any other.
const Default = "en-GB"

// Book is one language.
type Book struct {
	Language string
	// Decimal is the decimal mark.
	Decimal string
	phrases map[string]string
}

var books = sync.OnceValue(load)

// load reads every file once; several files of one language (en-GB.yaml,
// en-GB.pages.yaml) are joined.
func load() map[string]*Book {
	all := map[string]*Book{}
	entries, err := files.ReadDir(".")
	if err != nil {
		panic(err) // the files are embedded: a failure is ours
	}
	for _, e := range entries {
		data, err := files.ReadFile(e.Name())
		if err != nil {
			panic(err)
		}
		var m map[string]string
		if err := yaml.Unmarshal(data, &m); err != nil {
			panic(fmt.Sprintf("words: %s: %v", e.Name(), err))
		}
		language, _, _ := strings.Cut(strings.TrimSuffix(e.Name(), path.Ext(e.Name())), ".")
		b := all[language]
		if b == nil {
			b = &Book{Language: language, Decimal: ".", phrases: map[string]string{}}
			all[language] = b
		}
		for k, v := range m {
			if _, twice := b.phrases[k]; twice {
				panic(fmt.Sprintf("words: %s: key %q stands in two files", e.Name(), k))
			}
			b.phrases[k] = v
		}
	}
	for _, b := range all {
		if d := b.phrases["number.decimal"]; d != "" {
			b.Decimal = d
		}
	}
	return all
}

// Languages lists the languages that are built in, sorted.
func Languages() []string {
	var out []string
	for l := range books() {
		out = append(out, l)
	}
	slices.Sort(out)
	return out
}

// For gives the book of a language tag: the exact one, else one with the same
// primary language ("de" for "de-AT"), else the default.
func For(language string) *Book {
	all := books()
	if b := all[language]; b != nil {
		return b
	}
	primary, _, _ := strings.Cut(language, "-")
	for _, l := range Languages() {
		if p, _, _ := strings.Cut(l, "-"); p == primary {
			return all[l]
		}
	}
	return all[Default]
}

// Has says whether the book has the key itself, without the default's help.
func (b *Book) Has(key string) bool { _, ok := b.phrases[key]; return ok }

// Keys lists the book's keys, sorted.
func (b *Book) Keys() []string {
	out := make([]string, 0, len(b.phrases))
	for k := range b.phrases {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// Say gives the phrase of a key with its gaps filled: gaps come as name,
// value, name, value. A key that no book has is given back in double angle
// brackets, so that a test or a reader sees it at once.
func (b *Book) Say(key string, gaps ...string) string {
	p, ok := b.phrases[key]
	if !ok {
		p, ok = books()[Default].phrases[key]
	}
	if !ok {
		return "⟪" + key + "⟫"
	}
	if len(gaps) == 0 {
		return p
	}
	return filled(p, gaps)
}

// filled puts values into the gaps of a phrase in one pass: braces within a
// value stay as they are, and so do gaps that nobody named.
func filled(phrase string, gaps []string) string {
	var b strings.Builder
	for {
		open := strings.IndexByte(phrase, '{')
		if open < 0 {
			break
		}
		length := strings.IndexByte(phrase[open:], '}')
		if length < 0 {
			break
		}
		b.WriteString(phrase[:open])
		name := phrase[open+1 : open+length]
		found := false
		for i := 0; i+1 < len(gaps) && !found; i += 2 {
			if found = gaps[i] == name; found {
				b.WriteString(gaps[i+1])
			}
		}
		if found {
			phrase = phrase[open+length+1:]
			continue
		}
		b.WriteByte('{')
		phrase = phrase[open+1:]
	}
	b.WriteString(phrase)
	return b.String()
}

// Count is Say for a phrase that counts: KEY.one for 1, KEY.other otherwise,
// with the gap {n} filled.
func (b *Book) Count(key string, n int, gaps ...string) string {
	form := ".other"
	if n == 1 {
		form = ".one"
	}
	return b.Say(key+form, append([]string{"n", strconv.Itoa(n)}, gaps...)...)
}
