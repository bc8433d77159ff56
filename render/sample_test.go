package render

import (
	"flag"
	"os"
	"testing"

	"benchwright/design"
	"benchwright/project"
	"benchwright/render/data"
	publish "benchwright/render/site"
	"benchwright/report"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
	"benchwright/themes"
)

// -site DIR writes the pages of the sample there, to be looked at.
var (
	siteFolder = flag.String("site", "", "write the sample's site to this folder")
	siteTheme  = flag.String("theme", themes.Default, "theme of the site that -site writes")
)

// sampleReport is the embedded project, all the way through.
func sampleReport(t testing.TB) *report.Report {
	t.Helper()
	folder, faults := schema.Read(sampleproject.Files())
	p, more := project.Load(folder)
	findings := append(faults, more...)
	if p == nil {
		t.Fatalf("the sample cannot be read: %v", findings)
	}
	s := design.NewSpace(p)
	return report.Build(p, s, append(findings, design.Check(p, s)...), report.Options{})
}

func sampleSite(t testing.TB, theme string) []File {
	t.Helper()
	th, err := themes.Load(theme, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := sampleReport(t)
	folder, _ := schema.Read(sampleproject.Files())
	made, list, err := data.Files(r, folder, data.Options{})
	if err != nil {
		t.Fatal(err)
	}
	files, err := Site(r, th, Options{Folder: sampleproject.Files(), Data: func() ([]data.Listed, error) { return list, nil }})
	if err != nil {
		t.Fatal(err)
	}
	return append(files, made...)
}

func TestWriteSample(t *testing.T) {
	if *siteFolder == "" {
		t.Skip("give -site DIR to write the sample's site")
	}
	files := sampleSite(t, *siteTheme)
	if _, err := publish.Write(*siteFolder, publish.WithSums(files)); err != nil {
		t.Fatal(err)
	}
	one, err := SingleFile(files)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*siteFolder+".single.html", one, 0o644); err != nil {
		t.Fatal(err)
	}
}

// -large DIR writes a made site of 300 configurations × 30 workloads there.
var largeFolder = flag.String("large", "", "write a large made site to this folder")

func TestWriteLarge(t *testing.T) {
	if *largeFolder == "" {
		t.Skip("give -large DIR to write a large made site")
	}
	if _, err := publish.Write(*largeFolder, publish.WithSums(laidOut(t, wide(t, 300, 30), ""))); err != nil {
		t.Fatal(err)
	}
}
