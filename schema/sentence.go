package schema

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"gopkg.in/yaml.v3"
)

// Every sentence about a fault against the schema is made in this file.

// sentence says what one fault is, where, and what would be right.
func (v *verdict) sentence(f fault) verdictOn {
	key, value := v.find(f.path)
	about := v.facts.of(f.schema)
	name := v.subject(f.path)
	switch k := f.kind.(type) {
	case *kind.AdditionalProperties:
		return v.unknownKey(f, about, value)
	case *kind.Required:
		return v.missingKey(f, key, value)
	case *kind.DependentRequired:
		one := v.missingKey(f, key, value)
		one.Message += fmt.Sprintf(", which belongs to %q", k.Prop)
		return one
	case *kind.PropertyNames:
		return verdictOn{Finding: v.badName(f, value)}
	}
	one := Finding{Place: f.place, Width: width(value)}
	if value.Tag == tagNull && value.Value == "" && key != nil {
		one.Width = width(key)
	}
	written := short(value.Value)
	like := ""
	if e := v.example(f); e != "" {
		like = "write it like this: " + e
	}
	switch k := f.kind.(type) {
	case *kind.Type:
		one.Rule = "wrong-type"
		one.Message, one.Remedy = v.typeSentence(f, k, value, name, like)
	case *kind.Enum:
		one.Rule = "not-allowed-value"
		var words []string
		for _, w := range k.Want {
			words = append(words, fmt.Sprint(w))
		}
		one.Message = fmt.Sprintf("%s is not allowed for %s", strconv.Quote(written), name)
		if near := Nearest(value.Value, words); near != "" {
			one.Remedy = didYouMean(near)
		} else {
			one.Remedy = "write one of: " + strings.Join(quoted(words), ", ")
		}
	case *kind.Pattern:
		one.Rule = "bad-pattern"
		one.Message, one.Remedy = v.patternSentence(f, about, value.Value, name, like)
		if about.Title == "Id" {
			one.Rule = "bad-id"
		}
	case *kind.Format:
		one.Rule = "bad-date"
		one.Message = fmt.Sprintf("%s is %s, not a day of the calendar", name, strconv.Quote(written))
		one.Remedy = "write year, month and day: 2031-04-12"
	case *kind.MinLength:
		one.Rule = "empty-value"
		one.Message, one.Remedy = name+" is an empty text", v.orRemove(like, f)
	case *kind.MaxLength:
		one.Rule = "bad-pattern"
		one.Message = fmt.Sprintf("%s is longer than %d characters", name, k.Want)
		one.Remedy = like
	case *kind.MinItems:
		one.Rule = "empty-value"
		one.Message, one.Remedy = name+" is an empty list", v.orRemove(like, f)
	case *kind.MinProperties:
		one.Rule = "empty-value"
		one.Message, one.Remedy = name+" says nothing yet", like
		if k.Want > 1 {
			one.Message = name + " does not say enough"
		}
	case *kind.UniqueItems:
		one.Rule = "duplicate-value"
		second := v.item(value, k.Duplicates[1])
		first := v.item(value, k.Duplicates[0])
		one.Place, one.Width = v.place(second), width(second)
		one.Message = fmt.Sprintf("%s stands in %s a second time", strconv.Quote(short(second.Value)), name)
		one.Remedy = "keep one of the two"
		one.Related = []Related{{Place: v.place(first), Message: "first written here"}}
	default:
		one.Rule = "not-allowed-value"
		one.Message, one.Remedy = rangeSentence(f, name, written), like
	}
	return verdictOn{Finding: one}
}

// rangeSentence speaks of numbers outside their range.
func rangeSentence(f fault, name, written string) string {
	bound := ""
	switch k := f.kind.(type) {
	case *kind.Minimum:
		bound = "at least " + ratText(k.Want)
	case *kind.Maximum:
		bound = "at most " + ratText(k.Want)
	case *kind.ExclusiveMinimum:
		bound = "above " + ratText(k.Want)
	case *kind.ExclusiveMaximum:
		bound = "below " + ratText(k.Want)
	default:
		return fmt.Sprintf("%s has a value that is not allowed", name)
	}
	return fmt.Sprintf("%s is %s, but must be %s", name, written, bound)
}

// typeSentence speaks of a value of the wrong sort.
func (v *verdict) typeSentence(f fault, k *kind.Type, value *yaml.Node, name, like string) (message, remedy string) {
	wants := func(t string) bool { return slices.Contains(k.Want, t) }
	number := wants("number") || wants("integer")
	switch {
	case value.Tag == tagNull && value.Value == "":
		message = name + " has no value"
		remedy = v.orRemove(like, f)
		if wants("array") || wants("object") {
			remedy += "; if it has lines of its own, indent them by two spaces"
		}
		return message, remedy
	case value.Tag == tagNull:
		return name + " is null", v.orRemove(like, f)
	}
	message = fmt.Sprintf("%s is %s where %s belongs", name, kindWords(value), wantWords(k.Want))
	remedy = like
	if value.Kind != yaml.ScalarNode {
		return message, remedy
	}
	t := value.Value
	low := strings.ToLower(t)
	switch {
	case wants("boolean") && !wants("string") && slices.Contains([]string{"yes", "on", "y", "true", "1"}, low):
		remedy = "write: true"
	case wants("boolean") && !wants("string") && slices.Contains([]string{"no", "off", "n", "false", "0"}, low):
		remedy = "write: false"
	case number && value.Tag == tagText:
		if plain, ok := decimal(t, '.'); ok {
			remedy = "write it without quotes: " + plain
			break
		}
		if plain, ok := decimal(t, ','); ok {
			remedy = "write " + plain + ": a number in YAML has a decimal point"
			break
		}
		digits := strings.TrimRightFunc(t, func(r rune) bool { return !unicode.IsDigit(r) })
		if plain, ok := decimal(digits, '.'); ok {
			remedy = "write the number alone, without quotes or unit: " + plain
		}
	case wants("integer") && value.Tag == tagFloat:
		message = fmt.Sprintf("%s is %s, not a whole number", name, short(t))
	case wants("string") && !number && (value.Tag == tagInt || value.Tag == tagFloat || value.Tag == tagBool):
		remedy = "put it in quotes: " + strconv.Quote(t)
	}
	return message, remedy
}

// patternSentence speaks of a text that has not the form it should have.
func (v *verdict) patternSentence(f fault, about *fact, text, name, like string) (message, remedy string) {
	written := strconv.Quote(short(text))
	switch about.Title {
	case "Id":
		return written + " cannot be an id", idRemedy(text)
	case "Quantity", "Tolerance":
		message = fmt.Sprintf("%s is %s, which is not a number with or without a unit", name, written)
		number := strings.TrimRightFunc(text, func(r rune) bool { return !unicode.IsDigit(r) })
		if plain, ok := decimal(number, ','); ok {
			return message, "write " + plain + text[len(number):] + ": a number in YAML has a decimal point"
		}
		return message, like
	case "Share":
		return fmt.Sprintf("%s is %s, which is neither a share below 1 nor a percentage", name, written), like
	}
	return fmt.Sprintf("%s is %s, which has not the form that it needs", name, written), like
}

// badName speaks of a key that should be an id and is none.
func (v *verdict) badName(f fault, mapping *yaml.Node) Finding {
	out := Finding{Rule: "bad-id", Place: f.place, Width: v.keyWidth(mapping, f.name),
		Message: strconv.Quote(short(f.name)) + " cannot be an id", Remedy: idRemedy(f.name)}
	if len(f.path) > 0 && f.path[len(f.path)-1] == "units" {
		out.Message = strconv.Quote(short(f.name)) + " cannot be the name of a unit"
		out.Remedy = "write a short name without spaces that does not start with a digit"
	}
	return out
}

// keyWidth is how many characters of a key to mark.
func (v *verdict) keyWidth(mapping *yaml.Node, name string) int {
	if i, ok := v.at(mapping, name); ok {
		return width(mapping.Content[i])
	}
	return 1
}

// idRemedy suggests the id nearest to what was written.
func idRemedy(written string) string {
	const rule = "ids are small letters, digits and hyphens"
	var b strings.Builder
	for _, r := range fold(written) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	if id := strings.Trim(b.String(), "-"); id != "" && len(id) <= longestWord {
		return fmt.Sprintf("%s: %q", rule, id)
	}
	return rule
}

// unknownKey speaks of a key that the schema does not know at this place.
func (v *verdict) unknownKey(f fault, about *fact, mapping *yaml.Node) verdictOn {
	out := Finding{Rule: "unknown-key", Place: f.place, Width: v.keyWidth(mapping, f.name), Message: fmt.Sprintf("unknown key %q", short(f.name))}
	near := Nearest(f.name, about.keys)
	homes := v.facts.homes(f.name)
	switch {
	case near != "":
		out.Remedy = didYouMean(near)
	case len(homes) == 1 || len(homes) == 2:
		out.Remedy = "it belongs at " + strings.Join(homes, " or ")
	default:
		out.Remedy = "keys known here: " + strings.Join(about.keys, ", ")
	}
	return verdictOn{Finding: out, mapping: f.path, meant: near}
}

// missingKey speaks of a key that must be there.
func (v *verdict) missingKey(f fault, key, mapping *yaml.Node) verdictOn {
	out := Finding{Rule: "missing-key", Place: f.place, Width: 1, Remedy: fmt.Sprintf("add the key %q", f.name)}
	switch {
	case key != nil:
		out.Width = width(key)
	case len(mapping.Content) > 0:
		out.Width = width(mapping.Content[0])
	}
	where := "the file"
	if len(f.path) > 0 {
		where = v.subject(f.path)
	}
	out.Message = fmt.Sprintf("%s has no key %q", where, f.name)
	// A condition's "then" stands inside the schema that knows the key.
	about := v.facts.of(strings.TrimSuffix(f.schema, "/then"))
	if e := about.examples[f.name]; e != nil {
		out.Remedy = fmt.Sprintf("add it, for instance: %s: %s", f.name, inline(e))
	}
	return verdictOn{Finding: out, mapping: f.path, meant: f.name}
}

// example gives an example of the value, from the schema nearest to its key.
func (v *verdict) example(f fault) string {
	for _, address := range append(slices.Clone(f.within), f.schema) {
		about := v.facts.of(address)
		if len(about.Examples) == 0 {
			continue
		}
		e := about.Examples[0]
		if last := len(f.path) - 1; last >= 0 {
			if _, owner := v.find(f.path[:last]); owner.Kind != yaml.SequenceNode {
				return f.path[last] + ": " + inline(e)
			}
		}
		return inline(e)
	}
	return ""
}

func didYouMean(word string) string { return fmt.Sprintf("did you mean %q?", word) }

// subject names a value by its key; an item of a list by its number.
func (v *verdict) subject(path []string) string {
	items := ""
	for len(path) > 0 {
		last := path[len(path)-1]
		path = path[:len(path)-1]
		if _, owner := v.find(path); owner.Kind != yaml.SequenceNode {
			return items + strconv.Quote(short(last))
		}
		n, _ := strconv.Atoi(last)
		items += fmt.Sprintf("item %d of ", n+1)
	}
	return "the file"
}

// orRemove adds that a key may be left out, when it may.
func (v *verdict) orRemove(like string, f fault) string {
	if like == "" {
		like = "write a value"
	}
	if len(f.path) == 0 {
		return like
	}
	last := f.path[len(f.path)-1]
	address := f.schema
	if len(f.within) > 0 {
		address = f.within[0]
	}
	owner, isKey := strings.CutSuffix(address, "/properties/"+last)
	switch {
	case isKey && slices.Contains(v.facts.of(owner).Required, last):
		return like
	case isKey || strings.HasSuffix(address, "/additionalProperties"):
		return like + ", or remove the key"
	}
	return like + ", or remove the item"
}

func wantWords(want []string) string {
	words := map[string]string{"string": "text", "number": "a number", "integer": "a whole number", "boolean": "true or false",
		"array": "a list", "object": "a mapping (keys with values)", "null": "nothing"}
	var out []string
	for _, w := range want {
		out = append(out, words[w])
	}
	slices.Sort(out)
	if len(out) > 1 {
		return strings.Join(out[:len(out)-1], ", ") + " or " + out[len(out)-1]
	}
	return strings.Join(out, "")
}

func quoted(words []string) []string {
	var out []string
	for _, w := range words {
		out = append(out, strconv.Quote(w))
	}
	return out
}

// short cuts a text that would make a message unreadable.
func short(t string) string {
	const most = 40
	r := []rune(t)
	if len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return t
}

// ratText writes a bound of a schema.
func ratText(r interface{ RatString() string }) string {
	s := r.RatString()
	if a, b, ok := strings.Cut(s, "/"); ok {
		x, _ := strconv.ParseFloat(a, 64)
		y, _ := strconv.ParseFloat(b, 64)
		return strconv.FormatFloat(x/y, 'g', -1, 64)
	}
	return s
}
