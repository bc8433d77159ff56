package data

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchwright/design"
	"benchwright/project"
	"benchwright/render/site"
	"benchwright/render/spreadsheet"
	"benchwright/report"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
)

var update = flag.Bool("update", false, "write the golden files anew")

// built is a folder carried as far as its report.
func built(t testing.TB, fsys fs.FS) (*report.Report, *schema.Folder) {
	t.Helper()
	folder, faults := schema.Read(fsys)
	p, more := project.Load(folder)
	for _, f := range append(faults, more...) {
		if f.Severity == schema.Error {
			t.Fatalf("%v: %s", f.Place, f.Message)
		}
	}
	s := design.NewSpace(p)
	return report.Build(p, s, append(append(faults, more...), design.Check(p, s)...), report.Options{}), folder
}

// small is a project of two configurations with everything that an export can
// trip over: formulas in texts, commas, quotes, line breaks, failures, an
// exclusion, a conversion, an interval scale.
func small() fstest.MapFS {
	file := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	return fstest.MapFS{
		"report.yaml": file(`title: '=HYPERLINK("x") </script> & "quotes"'
author: [{name: The Ünsel bench}]
date: 2026-02-03
licence: CC-BY-4.0
baseline: plain
questions:
  - {id: fan, ask: 'What is the fan worth?', factor: fan, from: none, to: quiet}
`),
		"bench.yaml": file(`bench: {label: kitchen table}
factors:
  fan: {label: '@Fan', role: studied, levels: [none, quiet]}
  cost: {label: Cost of power, role: held, unit: W}
  room: {label: Room, role: nuisance, unit: °C, tolerance: 3}
common: {cost: 15}
`),
		"workloads.yaml": file(`workloads:
  render: {label: '+Render, "big"', metric: frames per second, unit: fps, better: higher, resolution: 0.1}
  copy: {label: Copy, metric: time per copy, unit: s, better: lower, reading: {unit: ms}, source: 'https://tests.example/copy'}
  lid: {label: Lid, metric: temperature, unit: °C, better: lower, scale: interval}
`),
		"configurations/plain.yaml": file("label: plain\nset: {fan: none}\ncost: 100\n"),
		"configurations/quiet.yaml": file("label: '=quiet'\nbased-on: plain\nset: {fan: quiet}\n"),
		"sessions.yaml":             file("sessions:\n  one: {date: 2026-02-01, values: {room: 20}, note: '-windows open'}\n  two: {date: 2026-02-02, values: {room: 21.5}}\n"),
		"results/one.csv": file("session,configuration,workload,value,outcome,reason,note\n" +
			"one,plain,render,10.1,,,=1+1\none,plain,render,10.3,,,\none,plain,render,99,excluded,\"-2+3, \"\"they\"\" said\n@later\",\n" +
			"one,quiet,render,12.2,,,\none,quiet,render,12.4,,,\none,quiet,render,,hung,,\n" +
			"one,plain,copy,1500,,,\none,plain,copy,1510,,,\none,quiet,copy,1400,,,\none,quiet,copy,1403,,,\n" +
			"two,plain,lid,-4.5,,,\ntwo,plain,lid,-4.1,,,\ntwo,quiet,lid,-7.5,,,\ntwo,quiet,lid,-7.9,,,\n"),
		"notes/first.md": file("# First\n\nThe fan: @{effect fan}.\n"),
		"media/fan.svg":  file("<svg xmlns='http://www.w3.org/2000/svg'/>"),
		"to-myself.txt":  file("do not publish\n"),
		".hidden":        file("do not publish\n"),
	}
}

func filesOf(t testing.TB, fsys fs.FS, o Options) (*report.Report, []site.File) {
	t.Helper()
	r, folder := built(t, fsys)
	files, _, err := Files(r, folder, o)
	if err != nil {
		t.Fatal(err)
	}
	return r, files
}

// listed is what Files lists beside the files.
func listed(t testing.TB, r *report.Report, fsys fs.FS) []Listed {
	t.Helper()
	folder, _ := schema.Read(fsys)
	_, list, err := Files(r, folder, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func contents(files []site.File) map[string][]byte {
	m := map[string][]byte{}
	for _, f := range files {
		m[f.Path] = f.Data
	}
	return m
}

func TestGolden(t *testing.T) {
	_, files := filesOf(t, small(), Options{Version: "0.0.0", Arithmetic: "golden", Theme: "none"})
	const dir = "testdata/golden"
	if *update {
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
	}
	names := map[string]bool{}
	for _, f := range files {
		name := strings.TrimPrefix(f.Path, Folder)
		if strings.HasPrefix(f.Path, Inputs) || strings.HasSuffix(name, ".schema.json") || name == "answers.json" || name == "findings.json" {
			continue // inputs are held against the project below; the others are made and tested elsewhere
		}
		names[name] = true
		at := filepath.Join(dir, name)
		if *update {
			if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(at, f.Data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(at)
		if err != nil {
			t.Error(err)
			continue
		}
		got := f.Data
		if name == "datapackage.json" { // hashes have a test of their own
			got, want = withoutHashes(got), withoutHashes(want)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not the golden one; run with -update and read the difference", name)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !names[e.Name()] {
			t.Errorf("%s is golden and not made any more", e.Name())
		}
	}
}

func withoutHashes(text []byte) []byte {
	var out []string
	for line := range strings.Lines(string(text)) {
		if !strings.Contains(line, `"hash":`) && !strings.Contains(line, `"bytes":`) {
			out = append(out, line)
		}
	}
	return []byte(strings.Join(out, ""))
}

func TestInputsAreCopiedByteForByteAndNothingElse(t *testing.T) {
	fsys := small()
	_, files := filesOf(t, fsys, Options{})
	got := map[string]bool{}
	for _, f := range files {
		name, ok := strings.CutPrefix(f.Path, Inputs)
		if !ok {
			continue
		}
		got[name] = true
		if want := fsys[name]; want == nil || !bytes.Equal(want.Data, f.Data) {
			t.Errorf("%s is not the file of the folder", name)
		}
	}
	for name := range fsys {
		private := name == "to-myself.txt" || name == ".hidden"
		if got[name] == private {
			t.Errorf("%s: published %v", name, got[name])
		}
	}
	for _, f := range files {
		if bytes.Contains(f.Data, []byte("do not publish")) {
			t.Errorf("%s holds what was not to be published", f.Path)
		}
	}
}

func TestTheSameInputGivesTheSameBytes(t *testing.T) {
	_, first := filesOf(t, sampleproject.Files(), Options{})
	_, second := filesOf(t, sampleproject.Files(), Options{})
	if len(first) != len(second) {
		t.Fatal("another number of files")
	}
	for i := range first {
		if first[i].Path != second[i].Path || !bytes.Equal(first[i].Data, second[i].Data) {
			t.Errorf("%s differs from one run to the next", first[i].Path)
		}
	}
}

// Every table is read back by the standard library and held against what the
// descriptor says of it: names, types, required cells, words, keys, references.
func TestTablesAreWhatTheDescriptorSays(t *testing.T) {
	for name, fsys := range map[string]fs.FS{"sample": sampleproject.Files(), "small": small()} {
		_, files := filesOf(t, fsys, Options{})
		all := contents(files)
		var d descriptor
		if err := json.Unmarshal(all[DescriptorFile], &d); err != nil {
			t.Fatal(err)
		}
		tables := map[string][][]string{}
		columnsOf := map[string][]string{}
		for _, r := range d.Resources {
			if r.Schema == nil {
				continue
			}
			text := all[Folder+r.Path]
			if bytes.Contains(bytes.ReplaceAll(text, []byte("\r\n"), nil), []byte("\r")) || !bytes.HasSuffix(text, []byte("\r\n")) {
				t.Errorf("%s: %s: rows do not end in CR LF", name, r.Path)
			}
			rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
			if err != nil {
				t.Fatalf("%s: %s: %v", name, r.Path, err)
			}
			var header []string
			for _, f := range r.Schema.Fields {
				header = append(header, f.Name)
				if f.Description == "" || strings.Contains(f.Description, "⟪") {
					t.Errorf("%s: column %q has no description", r.Path, f.Name)
				}
			}
			if !slices.Equal(header, rows[0]) {
				t.Errorf("%s: %s: header %v, descriptor %v", name, r.Path, rows[0], header)
			}
			tables[r.Name], columnsOf[r.Name] = rows[1:], header
			seen := map[string]bool{}
			for n, row := range rows[1:] {
				for i, f := range r.Schema.Fields {
					if err := lawful(row[i], f); err != nil {
						t.Errorf("%s: %s: row %d: %s: %v", name, r.Path, n+1, f.Name, err)
					}
				}
				key := ""
				for _, k := range r.Schema.PrimaryKey {
					key += row[slices.Index(header, k)] + "\x00"
				}
				if seen[key] && key != "" {
					t.Errorf("%s: %s: key %q stands twice", name, r.Path, key)
				}
				seen[key] = true
			}
		}
		for _, r := range d.Resources {
			if r.Schema == nil {
				continue
			}
			for _, k := range r.Schema.ForeignKeys {
				to := k.Reference.Resource
				if to == "" {
					to = r.Name
				}
				known := map[string]bool{"": true}
				at := slices.Index(columnsOf[to], k.Reference.Fields[0])
				for _, row := range tables[to] {
					known[row[at]] = true
				}
				at = slices.Index(columnsOf[r.Name], k.Fields[0])
				for _, row := range tables[r.Name] {
					if !known[row[at]] {
						t.Errorf("%s: %s: %q is in no row of %s", name, r.Path, row[at], to)
					}
				}
			}
		}
		if len(tables) != 7 || len(tables["readings"]) < 14 {
			t.Errorf("%s: %d tables, %d readings", name, len(tables), len(tables["readings"]))
		}
	}
}

func lawful(cell string, f field) error {
	if cell == "" {
		if f.Constraints != nil && f.Constraints.Required {
			return fmt.Errorf("is empty")
		}
		return nil
	}
	if f.Constraints != nil && len(f.Constraints.Enum) > 0 && !slices.Contains(f.Constraints.Enum, cell) {
		return fmt.Errorf("%q is none of %v", cell, f.Constraints.Enum)
	}
	var err error
	switch f.Type {
	case integer:
		_, err = strconv.Atoi(cell)
	case number:
		_, err = strconv.ParseFloat(cell, 64)
	case boolean:
		if cell != "true" && cell != "false" {
			err = fmt.Errorf("%q is no boolean", cell)
		}
	case text:
		if spreadsheet.Defuse(cell) != cell {
			err = fmt.Errorf("%q could run in a spreadsheet", cell)
		}
	}
	return err
}

// What a person wrote cannot run; what was measured is a number as it was.
func TestFormulasAreDefusedAndReadingsAreExact(t *testing.T) {
	r, files := filesOf(t, small(), Options{})
	text := string(contents(files)[Folder+"readings.csv"])
	for _, want := range []string{"'=1+1", `"'-2+3, ""they"" said` + "\n@later\"", ",-4.5,°C,-4.5,", ",1.51,s,1510,"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for c := range r.Cells {
		for w := range r.Cells[c] {
			for _, rd := range r.Cells[c][w].Readings {
				n++
				row := rows[n]
				if v, err := strconv.ParseFloat(row[6], 64); rd.HasValue && (err != nil || v != rd.Value) {
					t.Errorf("row %d: %v became %v", n, rd.Value, row[6])
				}
				if row[5] != rd.Outcome.String() {
					t.Errorf("row %d: outcome %q", n, row[5])
				}
			}
		}
	}
	if n != len(rows)-1 || n != 14 {
		t.Errorf("%d readings, %d rows", n, len(rows)-1)
	}
}

// The JSON files keep to the schemas that are published beside them, and the
// schemas leave no key undescribed.
func TestJSONKeepsToItsSchema(t *testing.T) {
	for name, fsys := range map[string]fs.FS{"sample": sampleproject.Files(), "small": small()} {
		r, folder := built(t, fsys)
		first, _, err := Files(r, folder, Options{Version: "1"})
		if err != nil {
			t.Fatal(err)
		}
		// A second edition, so that there is something to say.
		r.Project.Date = "2030-01-01"
		r.Confidence = 0.9
		past, err := ReadPast(mapOf(first))
		if err != nil {
			t.Fatal(err)
		}
		r.Questions[0].Overall.Verdict = report.NoVerdict
		history, err := Settle(past, r, folder)
		if err != nil {
			t.Fatal(err)
		}
		second, _, err := Files(r, folder, Options{Version: "1", History: history})
		if err != nil {
			t.Fatal(err)
		}
		for _, files := range [][]site.File{first, second} {
			all := contents(files)
			compiler := jsonschema.NewCompiler()
			for path, data := range all {
				if strings.HasSuffix(path, ".schema.json") {
					doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
					if err != nil {
						t.Fatal(err)
					}
					if err := compiler.AddResource(path, doc); err != nil {
						t.Fatal(err)
					}
				}
			}
			for _, x := range []struct{ file, schema string }{
				{RecordFile, "report"}, {PreviousFile, "report"}, {ChangesFile, "changes"}, {Folder + "findings.json", "findings"}, {Folder + "answers.json", "answers"},
			} {
				data, ok := all[x.file]
				if !ok {
					continue
				}
				s, err := compiler.Compile(Folder + x.schema + ".schema.json")
				if err != nil {
					t.Fatal(err)
				}
				doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
				if err != nil {
					t.Fatalf("%s: %v", x.file, err)
				}
				if err := s.Validate(doc); err != nil {
					t.Errorf("%s: %s: %v", name, x.file, err)
				}
			}
		}
		if _, there := contents(second)[PreviousFile]; !there {
			t.Errorf("%s: the second edition has no record of the first", name)
		}
	}
}

func mapOf(files []site.File) fstest.MapFS {
	m := fstest.MapFS{}
	for _, f := range files {
		m[f.Path] = &fstest.MapFile{Data: f.Data}
	}
	return m
}

// Patterns of the Data Package profile 2.0 (datapackage.org/profiles/2.0,
// datapackage.json; read on 25 November 2026). Of its pattern for paths, the part
// for files.
var (
	profilePath    = regexp.MustCompile(`^[^./~]`)
	profileAddress = regexp.MustCompile(`^(http|ftp)s?://`)
	profileLicence = regexp.MustCompile(`^([-a-zA-Z0-9._])+$`)
	profileMedia   = regexp.MustCompile(`^(.+)/(.+)$`)
	profileHash    = regexp.MustCompile(`^([^:]+:[a-fA-F0-9]+|[a-fA-F0-9]{32}|)$`)
)

// What the Data Package standard 2.0, its Data Resource and Table Schema demand.
func TestTheDescriptorKeepsToTheStandard(t *testing.T) {
	_, files := filesOf(t, small(), Options{})
	all := contents(files)
	var d map[string]any
	if err := json.Unmarshal(all[DescriptorFile], &d); err != nil {
		t.Fatal(err)
	}
	resources, _ := d["resources"].([]any)
	if len(resources) == 0 {
		t.Fatal("there must be at least one resource")
	}
	names := map[string]bool{}
	described := map[string]bool{}
	types := []string{"string", "number", "integer", "boolean", "date", "time", "datetime", "object", "array", "year", "yearmonth", "duration", "geopoint", "geojson", "any", "list"}
	for _, x := range resources {
		r := x.(map[string]any)
		name, path := r["name"].(string), r["path"].(string)
		if name == "" || names[name] || strings.ToLower(name) != name || strings.ContainsAny(name, " /") {
			t.Errorf("name %q is empty, stands twice, or has letters that it should not", name)
		}
		names[name] = true
		if !profilePath.MatchString(path) || strings.Contains(path, "/../") || strings.ContainsAny(path, `\`) || strings.Contains(path, ":/") {
			t.Errorf("path %q leads out of the package", path)
		}
		if media, has := r["mediatype"].(string); has && !profileMedia.MatchString(media) {
			t.Errorf("%q has the media type %q", path, media)
		}
		if hash, _ := r["hash"].(string); !profileHash.MatchString(hash) {
			t.Errorf("%q has the hash %q", path, hash)
		}
		data, there := all[Folder+path]
		if !there {
			t.Errorf("%q is described and not there", path)
			continue
		}
		described[Folder+path] = true
		if r["hash"] != "sha256:"+hashOf(data) || int(r["bytes"].(float64)) != len(data) {
			t.Errorf("%q has another hash or size", path)
		}
		s, ok := r["schema"].(map[string]any)
		if !ok {
			continue
		}
		if r["type"] != "table" || r["format"] != "csv" || r["encoding"] != "utf-8" {
			t.Errorf("%q is a table and does not say so", path)
		}
		fields := s["fields"].([]any)
		if len(fields) == 0 {
			t.Errorf("%q has no fields", path)
		}
		for _, f := range fields {
			if m := f.(map[string]any); m["name"] == "" || !slices.Contains(types, m["type"].(string)) {
				t.Errorf("%q: field %v", path, f)
			}
		}
	}
	for path := range all {
		if !described[path] && path != DescriptorFile && !strings.HasPrefix(path, Folder+"CITATION") {
			t.Errorf("%q is not described", path)
		}
	}
	for _, l := range d["licenses"].([]any) {
		m := l.(map[string]any)
		name, _ := m["name"].(string)
		if at, _ := m["path"].(string); !profileLicence.MatchString(name) || !profileAddress.MatchString(at) {
			t.Errorf("licence %v", l)
		}
	}
	if created, _ := d["created"].(string); created != "" {
		if _, err := time.Parse(time.RFC3339, created); err != nil {
			t.Errorf("created: %v", err)
		}
	}
	if home, has := d["homepage"].(string); has && !profileAddress.MatchString(home) {
		t.Errorf("homepage %q", home)
	}
	for _, c := range d["contributors"].([]any) {
		if m := c.(map[string]any); m["title"] == "" {
			t.Errorf("contributor %v has no title", c)
		}
	}
}

// Examples of expressions after the SPDX Specification 2.3, annex D.
func TestLicencesOfAnExpression(t *testing.T) {
	for expression, want := range map[string]string{
		"":                                      "",
		"CC-BY-4.0":                             "CC-BY-4.0",
		"LGPL-2.1-only OR MIT AND BSD-3-Clause": "LGPL-2.1-only MIT BSD-3-Clause",
		"GPL-2.0-or-later WITH Bison-exception-2.2 OR MIT": "GPL-2.0-or-later MIT",
		"MIT AND MIT": "MIT",
	} {
		if got := strings.Join(licenceIDs(expression), " "); got != want {
			t.Errorf("%q has %q, want %q", expression, got, want)
		}
	}
}

func TestDatasetIsSafeInAScriptElement(t *testing.T) {
	r, files := filesOf(t, small(), Options{})
	text := Dataset(r, listed(t, r, small()), "")
	if bytes.ContainsAny(text, "<>&") {
		t.Errorf("the text could end its element: %s", text)
	}
	var d struct {
		Context          string `json:"@context"`
		Type             string `json:"@type"`
		Name, License    string
		TemporalCoverage string
		Creator          []struct{ Name string }
		VariableMeasured []struct{ Name, UnitText string }
		Distribution     []struct{ ContentURL, EncodingFormat string }
	}
	if err := json.Unmarshal(text, &d); err != nil {
		t.Fatal(err)
	}
	if d.Context != "https://schema.org/" || d.Type != "Dataset" || d.Name != r.Project.Title || !strings.Contains(d.License, "CC-BY-4.0") ||
		d.TemporalCoverage != "2026-02-01/2026-02-02" || len(d.Creator) != 1 || len(d.VariableMeasured) != 3 {
		t.Errorf("%+v", d)
	}
	all := contents(files)
	for _, x := range d.Distribution {
		if _, there := all[x.ContentURL]; !there {
			t.Errorf("%q is offered and not there", x.ContentURL)
		}
	}
	if len(d.Distribution) < 10 {
		t.Errorf("only %d files are offered", len(d.Distribution))
	}
	with := Dataset(r, listed(t, r, small()), "https://bench.example/x")
	if !bytes.Contains(with, []byte(`"https://bench.example/x/data/readings.csv"`)) {
		t.Errorf("addresses are not full ones: %s", with)
	}
}

// Another program reads the tables: the command line of SQLite, when it is
// installed.
func TestSQLiteReadsTheTables(t *testing.T) {
	program, err := exec.LookPath("sqlite3")
	if err != nil {
		t.Skip("sqlite3 is not installed")
	}
	r, files := filesOf(t, sampleproject.Files(), Options{})
	dir := t.TempDir()
	for _, f := range files {
		if strings.HasSuffix(f.Path, ".csv") && !strings.HasPrefix(f.Path, Inputs) {
			if err := os.WriteFile(filepath.Join(dir, filepath.Base(f.Path)), f.Data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	run := exec.Command(program, ":memory:")
	run.Dir = dir
	run.Stdin = strings.NewReader(`.mode csv
.import readings.csv readings
.import figures.csv figures
.import configurations.csv configurations
.mode list
select count(*) from readings;
select count(*) from figures f join configurations c using (configuration);
select configuration, workload from figures f where n > 0 and abs(mean - (select avg(value) from readings r
 where r.configuration = f.configuration and r.workload = f.workload and outcome = 'ok')) > 1e-9 * abs(mean);
`)
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	want := fmt.Sprintf("%d\n%d\n", len(r.Project.Readings), len(r.Project.Configurations)*len(r.Project.Workloads))
	if string(out) != want {
		t.Errorf("got %q, want %q", out, want)
	}
}
