package design

import (
	"fmt"
	"strings"

	"benchwright/project"
)

// QuestionStatus says, as data and in words, whether a question can be
// answered; it is what the JSON of check holds.
type QuestionStatus struct {
	ID  string `json:"id"`
	Ask string `json:"ask"`
	// Answerable: there is a matched pair. Measured: one has readings on both sides.
	Answerable bool `json:"answerable"`
	Measured   bool `json:"measured"`
	Bundle     bool `json:"bundle"`
	// Pairs, Nearest and Missing are never null.
	Pairs   []PairStatus    `json:"pairs"`
	Nearest []NearStatus    `json:"nearest"`
	Missing []MissingStatus `json:"missing"`
	// Again says what to do when the nearest pair is spoilt by what the sessions
	// state alone; nothing is missing then.
	Again string `json:"again,omitempty"`
	// Beyond says, when all that would settle the question lies beyond a maker's
	// limit, that it is not proposed for that reason.
	Beyond string `json:"beyond,omitempty"`
}

// PairStatus is a matched pair by ids.
type PairStatus struct {
	From   string    `json:"from"`
	To     string    `json:"to"`
	State  PairState `json:"state"`
	Bundle bool      `json:"bundle"`
}

// NearStatus is a pair that comes close, with what stands between.
type NearStatus struct {
	From    string   `json:"from"`
	To      string   `json:"to"`
	Factors []string `json:"factors"`
	Text    string   `json:"text"`
}

// MissingStatus is a configuration that would give a matched pair.
type MissingStatus struct {
	BasedOn string            `json:"basedOn"`
	Set     map[string]string `json:"set"`
	Text    string            `json:"text"`
}

// Questions gives the status of every question, in the project's order.
func (s *Space) Questions() []QuestionStatus {
	out := make([]QuestionStatus, len(s.p.Questions))
	for q := range s.p.Questions {
		out[q] = s.questionStatus(q)
	}
	return out
}

func (s *Space) questionStatus(q int) QuestionStatus {
	question, a := s.p.Questions[q], s.Answer(q)
	id := func(c int) string { return s.p.Configurations[c].ID }
	st := QuestionStatus{
		ID: question.ID, Ask: question.Ask, Answerable: a.Answerable, Measured: a.Measured, Bundle: a.Bundle,
		Pairs: []PairStatus{}, Nearest: []NearStatus{}, Missing: []MissingStatus{},
	}
	for _, p := range a.Pairs {
		st.Pairs = append(st.Pairs, PairStatus{id(p.From), id(p.To), p.State, p.Bundle})
	}
	for _, n := range a.Nearest {
		var factors, texts []string
		for _, d := range n.Between {
			if d.Kind.Spoils() {
				factors = append(factors, s.p.Factors[d.Factor].ID)
				texts = append(texts, s.differenceText(d))
			}
		}
		st.Nearest = append(st.Nearest, NearStatus{id(n.From), id(n.To), factors,
			fmt.Sprintf("%s and %s, but for %s", id(n.From), id(n.To), strings.Join(texts, "; "))})
	}
	for _, m := range a.Missing {
		set := map[string]string{}
		var texts []string
		for _, c := range m.Changes {
			to := s.valueText(c.Factor, c.To)
			set[s.p.Factors[c.Factor].ID] = to
			if c.To.State != project.Known {
				to = "as it comes"
			}
			texts = append(texts, s.p.Factors[c.Factor].ID+": "+to)
		}
		text := fmt.Sprintf("run a configuration based on %s with %s", id(m.Based), strings.Join(texts, ", "))
		if len(m.Record) > 0 {
			text += ", and write down " + listOf(s.factorIDs(m.Record)) + " on both sides"
		}
		st.Missing = append(st.Missing, MissingStatus{id(m.Based), set, text})
	}
	if a.Again != nil {
		st.Again = s.againText(a.Again)
	}
	if e := s.barred(a); len(e) > 0 {
		st.Beyond = s.notProposed(e)
	}
	return st
}
