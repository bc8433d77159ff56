package main

import (
	"fmt"
	"os"
	"time"

	"benchwright/edition"
	"benchwright/render"
	"benchwright/render/site"
	"benchwright/report"
	sampleproject "benchwright/sample-project"
	"benchwright/themes"
)

func main() {
	t0 := time.Now()
	e := edition.Open(sampleproject.Files())
	fmt.Println("open", time.Since(t0))
	for _, f := range e.Findings {
		fmt.Println(f.Severity, f.Place, f.Rule, f.Message, "|", f.Remedy, f.Silenced)
	}
	t0 = time.Now()
	r := e.Report(report.Options{})
	fmt.Println("report", time.Since(t0))
	for _, q := range r.Questions {
		fmt.Println("\n##", q.Ask, q.Clean, q.Answerable)
		fmt.Println(q.Headline.Text)
		for _, s := range q.More {
			fmt.Println("  +", s.Text)
		}
		for _, w := range q.ByWorkload {
			fmt.Println("    ", r.Workloads[w.Workload].ID, w.Effect.Text, w.Effect.Range, w.Effect.Remark)
		}
		for _, s := range q.Dependence {
			fmt.Println("  dep", s.Sentence.Text)
		}
		fmt.Println("  model", q.ModelText.Text)
	}
	for _, i := range r.Insights {
		fmt.Println("\n**", i.Kind, i.Title, ":", i.Sentence.Text)
		for _, row := range i.Rows {
			fmt.Println("     ", row)
		}
	}
	t0 = time.Now()
	th, err := themes.Load(themes.Default, nil)
	if err != nil {
		panic(err)
	}
	files, err := render.Site(r, th, render.Options{Folder: sampleproject.Files()})
	if err != nil {
		panic(err)
	}
	fmt.Println("site", time.Since(t0), len(files))
	fmt.Println(site.Write(os.Args[1], site.WithSums(files)))
}
