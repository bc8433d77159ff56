package record

import (
	"bytes"
	"testing"

	"benchwright/schema"
)

// What comes from anywhere never ends the program, never gives more readings
// than the bound, and gives either readings or a reason.

func FuzzFromText(f *testing.F) {
	_, root := base(f, nil)
	p := loaded(f, root.FS())
	for _, s := range []string{"", "done in 41.2 s\n", "clip: 14400 ticks\r\ndone in 1 s", "\xff\xfed\x00", "configuration,workload,value\n", "done in 41,2 s"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		LooksLikeTable(p, text)
		readings, bad := FromText(p, text, "run.txt", "one-fan", "", "later")
		either(t, readings, bad)
		for _, r := range readings {
			if r.Value == "" || r.At.Line < 1 || r.At.Column < 1 {
				t.Errorf("%+v", r)
			}
		}
	})
}

func FuzzFromTable(f *testing.F) {
	_, root := base(f, map[string]string{"record.yaml": mappingFile})
	p := loaded(f, root.FS())
	folder, _ := schema.Read(root.FS())
	mappings, _ := Mappings(p, folder)
	for _, s := range []string{"", "configuration,workload,value\none-fan,compile,41.2\n", "Build;Test;Result;How;N\nBuild A;CC;41,25;;3\n",
		"configuration,compile [min],rise\none-fan,0.69,hung\n", "Build,CC (min),Rise\nBuild A,0.69,crashed\n", "configuration,workload,value\n\"one", "[\n", "configuration,page-count,compile\n,,"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		for _, name := range []string{"", "timer", "across"} {
			readings, bad := FromTable(p, text, "night.csv", mappings[name])
			either(t, readings, bad)
		}
	})
}

func FuzzFromGrid(f *testing.F) {
	_, root := base(f, nil)
	p := loaded(f, root.FS())
	f.Add([]byte("PK\x03\x04"))
	f.Add(sheet(f, [][]any{{"", "compile", nil, "rise"}, {"one-fan", 41.2, 41.5, "hung"}}, nil, nil, nil))
	f.Add(sheet(f, [][]any{{"Build", "compile", nil, nil}, {nil, 1, 2, "mean"}, {"one-fan", 41.2, 41.5}}, []string{"B1:D1", "A1:A2"}, map[string]string{"D3": "AVERAGE(B3:C3)"}, map[string]string{"B3": "0.00"}))
	f.Fuzz(func(t *testing.T, data []byte) {
		readings, bad := FromGrid(p, bytes.NewReader(data), "grid.xlsx", "", "", Mapping{})
		either(t, readings, bad)
	})
}

// FuzzGridCells fills a grid of its own, so that the cells and not the archive
// are what is varied.
func FuzzGridCells(f *testing.F) {
	_, root := base(f, nil)
	p := loaded(f, root.FS())
	f.Add("", "compile", "run 1", "one-fan", "41.2", "A1:B1", "SUM(A1)")
	f.Add("compile", "mean", "2", "hung", "1e400", "A1:ZZ99", "")
	f.Fuzz(func(t *testing.T, a, b, c, d, e, merged, formula string) {
		book := excelizeBook(t, [][]string{{"", a, b}, {c, d, e}, {d, e, a}}, merged, formula)
		if book == nil {
			return
		}
		readings, bad := FromGrid(p, bytes.NewReader(book), "grid.xlsx", "", "", Mapping{})
		either(t, readings, bad)
	})
}

func FuzzViewers(f *testing.F) {
	_, root := base(f, nil)
	f.Add([]byte("viewer,machine,workload,value,unit,date,note\nMarsh,mine,compile,41,s,,\n"))
	f.Add([]byte("viewer;machine;workload;value;unit\nMarsh;mine;compile;0,7;min\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		a, bad := PrepareViewer(root.FS(), text, "x.csv", Options{})
		if (a == nil) == (len(bad) == 0) {
			t.Errorf("%v and %s", a, messages(bad))
		}
	})
}

// FuzzSession: whatever sessions.yaml holds, adding to it keeps every byte.
func FuzzSession(f *testing.F) {
	f.Add("sessions:\n  a:\n    date: 2031-04-09\n", "b", "by: \"the\" door")
	f.Add("sessions: {}\n", "b", "x")
	f.Add("sessions:\n  a: {date: 2031-04-09}\n  # end\n...\n", "b", "- x")
	f.Add("sessions:\n\n  a: &x\n    note: |+\n      1\n\n\n", "b", "#")
	f.Fuzz(func(t *testing.T, file, id, note string) {
		c, bad := addSession(alone(sessionsFile, []byte(file)), Session{ID: id, Date: "2031-04-10", Note: note})
		if len(bad) > 0 {
			return
		}
		if !bytes.HasPrefix(c.New, []byte(file)) || !onlyAdded([]byte(file), c.New, id) {
			t.Errorf("%q became %q", file, c.New)
		}
	})
}

func either(t *testing.T, readings []Reading, bad []schema.Finding) {
	t.Helper()
	if len(readings) == 0 && len(bad) == 0 {
		t.Error("neither readings nor a reason")
	}
	if len(readings) > mostReadings {
		t.Errorf("%d readings", len(readings))
	}
}
