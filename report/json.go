package report

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
)

//go:embed answers.schema.json
var answersSchema []byte

// AnswersSchema gives the JSON Schema (2020-12) of AnswersJSON's object.
func AnswersSchema() []byte { return append([]byte(nil), answersSchema...) }

// jsonInterval is what every figure has in common.
type jsonInterval struct {
	Low        *float64 `json:"low"`
	High       *float64 `json:"high"`
	Confidence *float64 `json:"confidence"`
	Verdict    string   `json:"verdict"`
	State      string   `json:"state"`
	Method     string   `json:"method,omitempty"`
	P          *float64 `json:"p,omitempty"`
	AdjustedP  *float64 `json:"adjustedP,omitempty"`
	Family     int      `json:"family,omitempty"`
	Text       string   `json:"text"`
	Range      string   `json:"range,omitempty"`
	Remark     string   `json:"remark,omitempty"`
}

type jsonRatio struct {
	Ratio *float64 `json:"ratio"`
	jsonInterval
}

type jsonWorkload struct {
	Workload string   `json:"workload"`
	Scale    string   `json:"scale"`
	Ratio    *float64 `json:"ratio,omitempty"`
	// Difference is for interval scales, in the unit.
	Difference *float64 `json:"difference,omitempty"`
	Unit       string   `json:"unit,omitempty"`
	Pairs      int      `json:"pairs"`
	jsonInterval
}

type jsonPair struct {
	From        string `json:"from"`
	To          string `json:"to"`
	Workload    string `json:"workload"`
	SameSession bool   `json:"sameSession"`
	// Ratio on ratio scales, Difference on interval scales.
	Ratio      *float64 `json:"ratio,omitempty"`
	Difference *float64 `json:"difference,omitempty"`
	Unit       string   `json:"unit,omitempty"`
	jsonInterval
}

type jsonDependence struct {
	Factor   string   `json:"factor"`
	Workload string   `json:"workload,omitempty"`
	Tested   bool     `json:"tested"`
	Depends  bool     `json:"depends"`
	P        *float64 `json:"p,omitempty"`
	Family   int      `json:"family,omitempty"`
	Steps    []struct {
		Level string   `json:"level"`
		Ratio *float64 `json:"ratio"`
		Low   *float64 `json:"low"`
		High  *float64 `json:"high"`
	} `json:"steps"`
	Sentence string `json:"sentence"`
}

type jsonQuestion struct {
	ID         string `json:"id"`
	Ask        string `json:"ask"`
	Factor     string `json:"factor"`
	From       string `json:"from"`
	To         string `json:"to"`
	Answerable bool   `json:"answerable"`
	Bundle     bool   `json:"bundle"`
	Clean      bool   `json:"clean"`
	jsonRatio
	MatchedPairs int              `json:"matchedPairs"`
	Over         []string         `json:"over"`
	Sentence     string           `json:"sentence"`
	More         []string         `json:"more"`
	Smallest     *float64         `json:"smallest,omitempty"`
	Workloads    []jsonWorkload   `json:"workloads"`
	Pairs        []jsonPair       `json:"pairs"`
	Dependence   []jsonDependence `json:"dependence"`
	Model        *jsonRatio       `json:"model,omitempty"`
	Failed       []jsonFailed     `json:"failed"`
	Nearest      []string         `json:"nearest"`
	Missing      []string         `json:"missing"`
}

type jsonFailed struct {
	From string `json:"from"`
	To   string `json:"to"`
	Why  string `json:"why"`
}

type jsonCell struct {
	Configuration string    `json:"configuration"`
	Workload      string    `json:"workload"`
	Outcome       string    `json:"outcome"`
	N             int       `json:"n"`
	Unit          string    `json:"unit,omitempty"`
	Centre        *float64  `json:"centre"`
	Low           *float64  `json:"low"`
	High          *float64  `json:"high"`
	Confidence    *float64  `json:"confidence"`
	State         string    `json:"state"`
	Mean          *float64  `json:"mean"`
	Median        *float64  `json:"median"`
	SD            *float64  `json:"sd"`
	CV            *float64  `json:"cv"`
	Least         *float64  `json:"least"`
	Most          *float64  `json:"most"`
	Text          string    `json:"text"`
	Flags         []string  `json:"flags"`
	Relative      jsonRatio `json:"relative"`
}

type jsonCompositeRow struct {
	Configuration string     `json:"configuration"`
	Workloads     int        `json:"workloads"`
	Missing       []string   `json:"missing"`
	Rank          int        `json:"rank,omitempty"`
	Bootstrap     *jsonRatio `json:"bootstrap,omitempty"`
	jsonRatio
}

type jsonComposite struct {
	ID        string             `json:"id"`
	Workloads []string           `json:"workloads"`
	Weights   []float64          `json:"weights"`
	Rows      []jsonCompositeRow `json:"rows"`
}

// AnswersJSON is the report's figures as one JSON object with questions, cells
// and composites, in the order of the project: the same for the command and
// the site. Ratios are unrounded, turned so that more is better; null stands
// where there is no figure. The schema is AnswersSchema.
func (r *Report) AnswersJSON() ([]byte, error) {
	p := r.Project
	out := struct {
		Title      string          `json:"title"`
		Date       string          `json:"date,omitempty"`
		Baseline   string          `json:"baseline"`
		Confidence float64         `json:"confidence"`
		Questions  []jsonQuestion  `json:"questions"`
		Cells      []jsonCell      `json:"cells"`
		Composites []jsonComposite `json:"composites"`
	}{Title: p.Title, Date: p.Date, Confidence: r.Confidence, Questions: []jsonQuestion{}, Cells: []jsonCell{}, Composites: []jsonComposite{}}
	if len(p.Configurations) > 0 {
		out.Baseline = p.Configurations[r.Baseline].ID
	}
	for i := range r.Questions {
		out.Questions = append(out.Questions, r.jsonQuestion(&r.Questions[i]))
	}
	for c := range r.Cells {
		for w := range r.Cells[c] {
			if cell := &r.Cells[c][w]; len(cell.Readings) > 0 || cell.Centre.State != Absent {
				out.Cells = append(out.Cells, r.jsonCell(cell))
			}
		}
	}
	for i := range r.Composites {
		out.Composites = append(out.Composites, r.jsonComposite(&r.Composites[i]))
	}
	data, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("encoding the answers: %w", err)
	}
	return append(data, '\n'), nil
}

// known gives a number that JSON can hold, or null.
func known(v float64, there bool) *float64 {
	if !there || math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v += 0 // −0 becomes 0
	return &v
}

func intervalOf(f Figure) jsonInterval {
	ranged := f.HasValue() && f.Confidence > 0
	out := jsonInterval{
		Low: known(f.Low, ranged), High: known(f.High, ranged), Confidence: known(f.Confidence, ranged),
		Verdict: f.Verdict.String(), State: f.State.String(), Method: f.Method, Text: f.Text, Range: f.Range, Remark: f.Remark,
		P: known(f.P, f.HasP),
	}
	if f.Family > 1 {
		out.AdjustedP, out.Family = known(f.AdjustedP, true), f.Family
	}
	return out
}

func ratioOf(f Figure) jsonRatio {
	return jsonRatio{Ratio: known(f.Value, f.HasValue()), jsonInterval: intervalOf(f)}
}

func (r *Report) jsonQuestion(q *Answer) jsonQuestion {
	p := r.Project
	out := jsonQuestion{
		ID: q.ID, Ask: q.Ask, Factor: p.Factors[q.Factor].ID, From: q.FromText, To: q.ToText,
		Answerable: q.Answerable, Bundle: q.Bundle, Clean: q.Clean, jsonRatio: ratioOf(q.Overall), MatchedPairs: len(q.Pairs),
		Over: r.workloadIDs(q.OverallWorkloads), Sentence: q.Headline.Text, More: []string{},
		Workloads: []jsonWorkload{}, Pairs: []jsonPair{}, Dependence: []jsonDependence{}, Failed: []jsonFailed{}, Nearest: []string{}, Missing: []string{},
		Smallest: known(q.Smallest.Value, q.Smallest.HasValue()),
	}
	for _, m := range q.More {
		out.More = append(out.More, m.Text)
	}
	for _, e := range q.ByWorkload {
		w := p.Workloads[e.Workload]
		one := jsonWorkload{Workload: w.ID, Scale: w.Scale.String(), Pairs: e.Pairs, jsonInterval: intervalOf(e.Effect)}
		one.Ratio, one.Difference, one.Unit = split(e, w.Unit.Symbol)
		out.Workloads = append(out.Workloads, one)
	}
	for _, pair := range q.Pairs {
		for _, e := range pair.Workloads {
			w := p.Workloads[e.Workload]
			one := jsonPair{From: p.Configurations[pair.From].ID, To: p.Configurations[pair.To].ID, Workload: w.ID, SameSession: pair.SameSession, jsonInterval: intervalOf(e.Effect)}
			one.Ratio, one.Difference, one.Unit = split(e, w.Unit.Symbol)
			out.Pairs = append(out.Pairs, one)
		}
	}
	for _, d := range q.Dependence {
		one := jsonDependence{Factor: p.Factors[d.Factor].ID, Tested: d.Tested, Depends: d.Depends, Sentence: d.Sentence.Text, P: known(d.P, d.Tested), Family: d.Family}
		if d.Workload >= 0 {
			one.Workload = p.Workloads[d.Workload].ID
		}
		one.Steps = make([]struct {
			Level string   `json:"level"`
			Ratio *float64 `json:"ratio"`
			Low   *float64 `json:"low"`
			High  *float64 `json:"high"`
		}, len(d.Steps))
		for i, s := range d.Steps {
			ranged := s.Effect.Confidence > 0
			one.Steps[i].Level, one.Steps[i].Ratio = s.Level, known(s.Effect.Value, s.Effect.HasValue())
			one.Steps[i].Low, one.Steps[i].High = known(s.Effect.Low, ranged), known(s.Effect.High, ranged)
		}
		out.Dependence = append(out.Dependence, one)
	}
	if q.Model.HasValue() {
		m := ratioOf(q.Model)
		out.Model = &m
	}
	for _, f := range q.FailedPairs {
		out.Failed = append(out.Failed, jsonFailed{p.Configurations[f.From].ID, p.Configurations[f.To].ID, f.Why})
	}
	for _, n := range q.Nearest {
		out.Nearest = append(out.Nearest, n.Text)
	}
	for _, m := range q.Missing {
		out.Missing = append(out.Missing, m.Text)
	}
	return out
}

// split puts an effect's value under its proper name.
func split(e WorkloadEffect, unit string) (ratio, difference *float64, in string) {
	if e.Difference {
		return nil, known(e.Effect.Value, e.Effect.HasValue()), unit
	}
	return known(e.Effect.Value, e.Effect.HasValue()), nil, ""
}

func (r *Report) workloadIDs(list []int) []string {
	out := make([]string, 0, len(list))
	for _, w := range list {
		out = append(out, r.Project.Workloads[w].ID)
	}
	return out
}

func (r *Report) jsonCell(c *Cell) jsonCell {
	p := r.Project
	there, ranged := c.Centre.HasValue(), c.Centre.HasValue() && c.Centre.Confidence > 0
	out := jsonCell{
		Configuration: p.Configurations[c.Configuration].ID, Workload: p.Workloads[c.Workload].ID, Outcome: c.Outcome.String(),
		N: c.N, Unit: p.Workloads[c.Workload].Unit.Symbol, State: c.Centre.State.String(), Text: c.Centre.Text,
		Centre: known(c.Centre.Value, there), Low: known(c.Centre.Low, ranged), High: known(c.Centre.High, ranged), Confidence: known(c.Centre.Confidence, ranged),
		Mean: known(c.Mean, there), Median: known(c.Median, there), Least: known(c.Min, there), Most: known(c.Max, there),
		SD: known(c.SD, c.HasSD), CV: known(c.CV, c.HasSD && c.CVText != ""), Flags: []string{}, Relative: ratioOf(c.Relative),
	}
	for _, f := range c.Flags {
		out.Flags = append(out.Flags, f.Rule)
	}
	return out
}

func (r *Report) jsonComposite(c *Composite) jsonComposite {
	out := jsonComposite{ID: c.ID, Workloads: r.workloadIDs(c.Workloads), Weights: append([]float64{}, c.Weights...), Rows: []jsonCompositeRow{}}
	ranks := map[int]int{}
	for _, o := range c.Order {
		ranks[o.Configuration] = o.Rank
	}
	for i := range c.Rows {
		row := &c.Rows[i]
		one := jsonCompositeRow{Configuration: r.Project.Configurations[i].ID, Workloads: row.Used, Missing: r.workloadIDs(row.Missing), Rank: ranks[i], jsonRatio: ratioOf(row.Figure)}
		if row.Bootstrap.HasValue() {
			b := ratioOf(row.Bootstrap)
			one.Bootstrap = &b
		}
		out.Rows = append(out.Rows, one)
	}
	return out
}
