package report

import (
	"errors"
	"fmt"
	"strings"

	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
	"benchwright/words"
)

// MarkKind says what a mark in a note is replaced by.
type MarkKind uint8

const (
	// MarkText is replaced by words within a paragraph.
	MarkText MarkKind = iota
	// MarkTable, MarkChart and MarkPairs stand alone in a paragraph and are
	// replaced by a table of a workload, its chart, or a question's pairs.
	MarkTable
	MarkChart
	MarkPairs
)

// Mark is a mark of a note, understood: @{effect second-channel on transcode}.
type Mark struct {
	Kind MarkKind
	// Verb is the first word: answer, effect, value, relative, composite,
	// repeats, table, chart, pairs.
	Verb string
	// Indices into the project; −1 where the mark names none.
	Question, Configuration, Against, Workload int
}

// markForms is what can be written, verb by verb, for messages.
var markForms = map[string]string{
	"answer":    "answer QUESTION",
	"effect":    "effect QUESTION, or effect QUESTION on WORKLOAD",
	"value":     "value CONFIGURATION WORKLOAD",
	"relative":  "relative CONFIGURATION WORKLOAD, or … against CONFIGURATION",
	"composite": "composite CONFIGURATION, or … against CONFIGURATION",
	"repeats":   "repeats CONFIGURATION WORKLOAD",
	"table":     "table WORKLOAD",
	"chart":     "chart WORKLOAD",
	"pairs":     "pairs QUESTION",
}

// MarkVerbs lists the verbs of marks in the order in which they are explained.
func MarkVerbs() []string {
	return []string{"answer", "effect", "value", "relative", "composite", "repeats", "table", "chart", "pairs"}
}

// MarkForm says how a mark with the verb is written.
func MarkForm(verb string) string { return markForms[verb] }

// MarkFault says what is wrong with a mark and what would be right.
type MarkFault struct{ Message, Remedy string }

func (f *MarkFault) Error() string { return f.Message }

// ParseMark understands the text between the braces of a mark. The error is a
// *MarkFault.
func ParseMark(p *project.Project, text string) (Mark, error) {
	m := Mark{Question: -1, Configuration: -1, Against: -1, Workload: -1}
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return m, &MarkFault{"the mark is empty", "write for example @{answer QUESTION}"}
	}
	verb, rest := fields[0], fields[1:]
	m.Verb = verb
	form, ok := markForms[verb]
	if !ok {
		f := &MarkFault{Message: fmt.Sprintf("a mark cannot begin with %q", verb), Remedy: "marks begin with " + strings.Join(MarkVerbs(), ", ")}
		if near := schema.Nearest(verb, MarkVerbs()); near != "" {
			f.Remedy = fmt.Sprintf("did you mean %q?", near)
		}
		return m, f
	}
	wrong := &MarkFault{fmt.Sprintf("the mark %q does not read as any form of %q", text, verb), "write " + form}
	// Optional tails: "on WORKLOAD", "against CONFIGURATION".
	tail := func(word string, to *int, find func(string) (int, error)) error {
		if len(rest) >= 2 && rest[len(rest)-2] == word {
			i, err := find(rest[len(rest)-1])
			*to, rest = i, rest[:len(rest)-2]
			return err
		}
		return nil
	}
	question := func(id string) (int, error) { return findID(p, "question", id) }
	configuration := func(id string) (int, error) { return findID(p, "configuration", id) }
	workload := func(id string) (int, error) { return findID(p, "workload", id) }
	var err error
	take := func(to *int, find func(string) (int, error)) {
		if err != nil {
			return
		}
		if len(rest) == 0 {
			err = wrong
			return
		}
		*to, err = find(rest[0])
		rest = rest[1:]
	}
	switch verb {
	case "answer":
		take(&m.Question, question)
	case "effect":
		err = tail("on", &m.Workload, workload)
		take(&m.Question, question)
	case "value", "repeats":
		take(&m.Configuration, configuration)
		take(&m.Workload, workload)
	case "relative":
		err = tail("against", &m.Against, configuration)
		take(&m.Configuration, configuration)
		take(&m.Workload, workload)
	case "composite":
		err = tail("against", &m.Against, configuration)
		take(&m.Configuration, configuration)
	case "table":
		m.Kind = MarkTable
		take(&m.Workload, workload)
	case "chart":
		m.Kind = MarkChart
		take(&m.Workload, workload)
	case "pairs":
		m.Kind = MarkPairs
		take(&m.Question, question)
	}
	if err == nil && len(rest) > 0 {
		err = wrong
	}
	return m, err
}

// findID finds an id of a kind, or says which is nearest.
func findID(p *project.Project, kind, id string) (int, error) {
	var ids []string
	switch kind {
	case "question":
		for _, q := range p.Questions {
			ids = append(ids, q.ID)
		}
	case "configuration":
		for _, c := range p.Configurations {
			ids = append(ids, c.ID)
		}
	case "workload":
		for _, w := range p.Workloads {
			ids = append(ids, w.ID)
		}
	}
	for i, have := range ids {
		if have == id {
			return i, nil
		}
	}
	f := &MarkFault{Message: fmt.Sprintf("there is no %s %q", kind, id)}
	if near := schema.Nearest(id, ids); near != "" {
		f.Remedy = fmt.Sprintf("did you mean %q?", near)
	} else if len(ids) > 0 && len(ids) <= 12 {
		f.Remedy = fmt.Sprintf("the %ss are %s", kind, strings.Join(ids, ", "))
	}
	return -1, f
}

// errBlockMark says that a mark for a table or chart stands within a sentence.
var errBlockMark = errors.New("a table, chart or list of pairs needs a paragraph of its own")

// Live is the text that replaces a mark within a paragraph, and the table that
// it comes from.
func (r *Report) Live(m Mark) (Sentence, error) {
	b := words.For(r.Language)
	figure := func(f Figure, ranged bool) string {
		if f.Text == "" {
			if f.Remark != "" {
				return f.Remark
			}
			return b.Say("mark.nothing")
		}
		if ranged && f.Range != "" {
			return b.Say("mark.ranged", "figure", f.Text, "range", f.Range)
		}
		return f.Text
	}
	switch m.Verb {
	case "answer":
		return r.Questions[m.Question].Headline, nil
	case "effect":
		q := r.Questions[m.Question]
		if m.Workload < 0 && q.Overall.State == Absent && len(q.ByWorkload) == 1 {
			// On an interval scale alone: the difference that the question's page shows.
			return Sentence{figure(q.ByWorkload[0].Effect, true), q.Page + "#effects"}, nil
		}
		if m.Workload < 0 {
			return Sentence{figure(q.Overall, true), q.Page + "#effects"}, nil
		}
		for _, e := range q.ByWorkload {
			if e.Workload == m.Workload {
				return Sentence{figure(e.Effect, true), q.Page + "#effects"}, nil
			}
		}
		return Sentence{b.Say("mark.nothing"), q.Page}, nil
	case "value":
		return Sentence{figure(r.Cells[m.Configuration][m.Workload].Centre, false), r.Workloads[m.Workload].Page + "#table"}, nil
	case "repeats":
		return Sentence{b.Count("mark.repeats", r.Cells[m.Configuration][m.Workload].N), r.Configurations[m.Configuration].Page}, nil
	case "relative":
		base := m.Against
		if base < 0 {
			base = r.Baseline
		}
		compared := r.Relative
		if r.Workloads[m.Workload].Scale == project.IntervalScale {
			compared = r.Difference
		}
		return Sentence{figure(compared(base, m.Configuration, m.Workload), false), r.Workloads[m.Workload].Page + "#table"}, nil
	case "composite":
		base := m.Against
		if base < 0 {
			base = r.Baseline
		}
		return Sentence{figure(r.CompositeOf(0, base, m.Configuration).Figure, false), "index.html#relative"}, nil
	}
	return Sentence{}, errBlockMark
}

// NoteRules documents what the checker looks for in notes.
func NoteRules() []design.Rule {
	return []design.Rule{
		{
			Name: "mark-names-nothing", Title: "A mark in a note names nothing", Group: design.Claims, Severity: schema.Error,
			What:   "A mark such as @{value quiet transcode} names a configuration, workload or question that the folder does not have, or cannot be read as a mark.",
			Why:    "The note would be published with a hole where a figure should stand.",
			Remedy: "Correct the id; the message names the nearest one.",
			Source: "common practice, no source",
		},
		{
			Name: "missing-picture", Title: "A picture of a note is not there", Group: design.Claims, Severity: schema.Error,
			What:   "A note shows a picture that is not among the media of the folder, or one without a text for those who cannot see it (then it is a warning).",
			Why:    "Readers would see a hole, or be told nothing.",
			Remedy: "Put the picture into media/, correct its name, or write its text between the brackets.",
			Source: "W3C Web Content Accessibility Guidelines 2.2, 1.1.1 Non-text Content",
		},
		{
			Name: "typed-figure-disagrees", Title: "A figure typed in a note is not one of the report's", Group: design.Claims, Severity: schema.Warning,
			What:   "A note holds a number in the unit of a workload, typed by hand, that no reading, mean, target or level of the report rounds to.",
			Why:    "Typed figures go stale when a run is added, and viewers find the two that disagree.",
			Remedy: "Replace the number by a mark, such as @{value CONFIGURATION WORKLOAD}, or correct it.",
			Source: "common practice, no source",
		},
	}
}
