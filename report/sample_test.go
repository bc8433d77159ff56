package report

import (
	"fmt"
	"os"
	"testing"

	"benchwright/design"
	"benchwright/project"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
)

func sampleReport(t testing.TB) *Report {
	t.Helper()
	folder, f1 := schema.Read(sampleproject.Files())
	p, f2 := project.Load(folder)
	for _, f := range append(f1, f2...) {
		if f.Severity == schema.Error {
			t.Fatalf("%v: %s", f.Place, f.Message)
		}
	}
	return Build(p, design.NewSpace(p), nil, Options{})
}

func TestDump(t *testing.T) {
	if os.Getenv("DUMP") == "" {
		t.Skip()
	}
	r := sampleReport(t)
	for _, q := range r.Questions {
		fmt.Println("==", q.Ask)
		fmt.Println("  ", q.Headline.Text)
		for _, m := range q.More {
			fmt.Println("   -", m.Text)
		}
		for _, e := range q.ByWorkload {
			fmt.Println("     ", r.Workloads[e.Workload].Label, e.Effect.Text, e.Effect.Range, e.Effect.Short, e.Effect.Method, e.Effect.Verdict, e.Pairs, e.Smallest.Text)
		}
		for _, p := range q.Pairs {
			fmt.Println("     pair", r.Configurations[p.From].ID, r.Configurations[p.To].ID, p.Setting, p.Overall.Text, p.Overall.Range, p.SameSession)
		}
	}
	for _, c := range r.Composites {
		fmt.Println("==", c.Label, c.Sentence.Text)
		for _, o := range c.Order {
			row := c.Rows[o.Configuration]
			fmt.Println("  ", o.Rank, r.Configurations[o.Configuration].ID, row.Figure.Short, row.Figure.Text, row.Figure.Range, "|", row.Bootstrap.Range)
		}
	}
	for _, w := range r.Workloads {
		fmt.Println("==", w.Label, w.Pooled.Text)
		for _, s := range w.Sentences {
			fmt.Println("   -", s.Text)
		}
		for _, o := range w.Order {
			c := r.Cells[o.Configuration][w.Index]
			fmt.Println("  ", o.Rank, r.Configurations[o.Configuration].ID, c.Centre.Text, "|", c.Centre.Range, "|", c.SDText, c.CVText, c.RangeText, "|", c.Relative.Short, c.Relative.Text, c.Relative.Range, c.Relative.Method, c.Relative.Verdict, c.Relative.AdjustedP, c.Flags)
		}
		for _, x := range w.Responses {
			fmt.Println("   response", x.Setting, x.Sentence.Text)
		}
	}
	if r.Effects != nil {
		fmt.Println(r.Effects.Sentence.Text)
		for _, m := range r.Effects.Workloads {
			fmt.Println("==", r.Workloads[m.Workload].Label, m.N, m.Parameters, m.DF, m.ResidualCV.Text, m.Aliased)
			for _, e := range m.Effects {
				fmt.Println("   ", e.Label, e.Effect.Text, e.Effect.Range, e.Effect.Verdict)
			}
			for _, c := range m.Checks {
				fmt.Println("   -", c.Name, c.Text)
			}
		}
	}
	for _, i := range r.Insights {
		fmt.Println("##", i.Kind, i.Title, ":", i.Sentence.Text)
		fmt.Println(i.Header)
		for _, row := range i.Rows {
			fmt.Println("   ", row)
		}
	}
}
