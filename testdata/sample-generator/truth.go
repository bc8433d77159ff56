package main

import "math"

// The planted effects as tests read them. A gain is a ratio of performances,
// more being better whatever the direction of the workload, and of a power the
// ratio of the readings; a difference is
// to − from in the workload's unit, for interval scales.
type planted struct {
	About     string            `json:"about"`
	Baseline  string            `json:"baseline"`
	Hung      string            `json:"hung"`
	NeverRun  string            `json:"neverRun"`
	Composite []string          `json:"composite"`
	Cells     []plantedCell     `json:"cells"`
	Overall   []plantedOverall  `json:"overall"`
	Questions []plantedQuestion `json:"questions"`
	Firmware  plantedFirmware   `json:"firmware"`
}

type plantedCell struct {
	Configuration string  `json:"configuration"`
	Workload      string  `json:"workload"`
	Unit          string  `json:"unit"`
	Value         float64 `json:"value"`
	// Spread is the nominal standard deviation of one reading, in Unit.
	Spread float64 `json:"spread"`
}

type plantedOverall struct {
	Configuration string  `json:"configuration"`
	Gain          float64 `json:"gain"` // geometric mean over Composite, against Baseline
}

type plantedQuestion struct {
	ID         string           `json:"id"`
	Answerable bool             `json:"answerable"`
	Overall    float64          `json:"overall,omitempty"` // geometric mean over pairs and Composite
	Pairs      [][2]string      `json:"pairs"`
	Workloads  []plantedAnswers `json:"workloads"`
}

type plantedAnswers struct {
	Workload string `json:"workload"`
	// Gain is the geometric mean over the pairs; Difference their plain mean.
	Gain       float64 `json:"gain,omitempty"`
	Difference float64 `json:"difference,omitempty"`
	// Each has one value per pair, in the order of Pairs.
	Each []float64 `json:"each"`
}

type plantedFirmware struct {
	Session  string  `json:"session"`
	Workload string  `json:"workload"`
	Gain     float64 `json:"gain"`
}

// questions lists the matched pairs that the folder holds.
var questions = []plantedQuestion{
	{ID: "second-channel", Pairs: [][2]string{{"one-15-thin", "two-15-thin"}, {"one-15-thick", "two-15-thick"}, {"one-25-thick", "two-25-thick"}, {"one-35-thick", "two-35-thick"}}},
	{ID: "power-limit", Pairs: [][2]string{{"one-15-thin", "one-35-thin"}, {"one-15-thick", "one-35-thick"}, {"two-15-thick", "two-35-thick"}}},
	{ID: "half-way-up", Pairs: [][2]string{{"one-15-thick", "one-25-thick"}, {"two-15-thick", "two-25-thick"}}},
	{ID: "cooling-pad", Pairs: [][2]string{{"one-15-thin", "one-15-thick"}, {"one-35-thin", "one-35-thick"}, {"two-15-thin", "two-15-thick"}}},
	{ID: "second-channel-at-35-w", Pairs: [][2]string{{"one-35-thick", "two-35-thick"}}},
	{ID: "quick-kit", Pairs: [][2]string{{"two-25-thick", "quick-kit"}}},
	{ID: "newer-system", Pairs: [][2]string{}},
}

func plantedTruth() planted {
	p := planted{
		About:    "true effects of the model behind the sample project's readings; gains are ratios, of performance turned so that more is better",
		Baseline: "one-15-thin", Hung: hung, NeverRun: "new-system-same-drive",
		Firmware: plantedFirmware{"second-day-after-update", "encrypted-backup", 0.925},
	}
	for i := range workloads {
		if inComposite(&workloads[i]) {
			p.Composite = append(p.Composite, workloads[i].id)
		}
	}
	base := find(p.Baseline)
	for i := range configurations {
		c := &configurations[i]
		for j := range workloads {
			w := &workloads[j]
			v := w.truth(c)
			s := w.spread
			if !w.interval {
				s *= v
			}
			p.Cells = append(p.Cells, plantedCell{c.id, w.id, w.unit, digits(v), digits(s)})
		}
		w, t := findWorkload("wall-power"), findWorkload("photo-indexing")
		e := w.truth(c) * t.truth(c) / 3600
		p.Cells = append(p.Cells, plantedCell{c.id, "energy-per-job", "Wh", digits(e), digits(e * math.Hypot(w.spread, t.spread))})
		p.Overall = append(p.Overall, plantedOverall{c.id, digits(overall(base, c))})
	}
	for _, q := range questions {
		q.Answerable = len(q.Pairs) > 0
		q.Workloads = []plantedAnswers{}
		var logs float64
		for _, pair := range q.Pairs {
			logs += math.Log(overall(find(pair[0]), find(pair[1])))
		}
		if q.Answerable {
			q.Overall = digits(math.Exp(logs / float64(len(q.Pairs))))
			for i := range workloads {
				q.Workloads = append(q.Workloads, answers(&workloads[i], q.Pairs))
			}
		}
		p.Questions = append(p.Questions, q)
	}
	return p
}

func inComposite(w *workload) bool { return !w.interval && w.id != "wall-power" }

func findWorkload(id string) *workload {
	for i := range workloads {
		if workloads[i].id == id {
			return &workloads[i]
		}
	}
	return nil
}

// effect of going from a to b: gain, or difference on an interval scale.
func (w *workload) effect(a, b *configuration) float64 {
	switch {
	case w.interval:
		return w.truth(b) - w.truth(a)
	case w.higher, !inComposite(w): // a power is no performance: as it is read
		return w.truth(b) / w.truth(a)
	}
	return w.truth(a) / w.truth(b)
}

func overall(a, b *configuration) float64 {
	var s float64
	n := 0
	for i := range workloads {
		if inComposite(&workloads[i]) {
			s += math.Log(workloads[i].effect(a, b))
			n++
		}
	}
	return math.Exp(s / float64(n))
}

func answers(w *workload, pairs [][2]string) plantedAnswers {
	out := plantedAnswers{Workload: w.id}
	var sum float64
	for _, p := range pairs {
		e := w.effect(find(p[0]), find(p[1]))
		out.Each = append(out.Each, digits(e))
		if w.interval {
			sum += e
		} else {
			sum += math.Log(e)
		}
	}
	if mean := sum / float64(len(pairs)); w.interval {
		out.Difference = digits(mean)
	} else {
		out.Gain = digits(math.Exp(mean))
	}
	return out
}

// digits keeps six places after the point, enough for any test and easy to read.
func digits(v float64) float64 { return math.Round(v*1e6) / 1e6 }
