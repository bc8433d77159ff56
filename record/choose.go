package record

import (
	"io/fs"
	"path"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// choose finds the file for the readings of each session and appends them. The
// grown files are put into planned; Changes, Rows and Files are filled in.
func (a *Addition) choose(planned *over, p *project.Project, o Options) []schema.Finding {
	a.Rows = make([]schema.Place, len(a.Added))
	var sessions []string
	of := map[string][]int{} // by session: indices into Added
	for i, r := range a.Added {
		if of[r.Session] == nil {
			sessions = append(sessions, r.Session)
		}
		of[r.Session] = append(of[r.Session], i)
	}
	if o.File != "" {
		file, bad := resultFile(o.File)
		if len(bad) > 0 {
			return bad
		}
		all := make([]int, len(a.Added))
		for i := range all {
			all[i] = i
		}
		return a.append(planned, p, file, all)
	}
	for _, s := range sessions {
		if bad := a.chooseFor(planned, p, s, of[s]); len(bad) > 0 {
			return bad
		}
	}
	return nil
}

// chooseFor tries the files that hold the session's readings, the last one
// first, and then files named after the session. Where some of them say in
// which order the runs were made, those that do not come last: a row there
// would be placed among the rows of its own file.
func (a *Addition) chooseFor(planned *over, p *project.Project, session string, readings []int) []schema.Finding {
	if len(readings) == 0 {
		return nil
	}
	candidates := filesOf(p, session)
	var without []string
	for _, file := range candidates {
		if !hasOrder(planned, p, file) {
			without = append(without, file)
		}
	}
	if len(without) < len(candidates) {
		candidates = append(slices.DeleteFunc(candidates, func(file string) bool { return slices.Contains(without, file) }), without...)
	}
	for n := 1; n <= 100; n++ {
		if file := newFile(session, n); !slices.Contains(candidates, file) {
			candidates = append(candidates, file)
		}
	}
	var bad []schema.Finding
	for _, file := range candidates {
		bad = a.append(planned, p, file, readings)
		if !slices.ContainsFunc(bad, func(f schema.Finding) bool { return f.Rule == "cannot-append" }) {
			break
		}
	}
	return bad
}

// append grows one file by readings, given as indices into Added.
func (a *Addition) append(planned *over, p *project.Project, file string, indices []int) []schema.Finding {
	var readings []Reading
	for _, i := range indices {
		readings = append(readings, a.Added[i])
	}
	g, bad := grow(planned, p, file, readings)
	if len(bad) > 0 {
		return bad
	}
	for k, i := range indices {
		a.Rows[i] = schema.Place{File: file, Line: g.rows[k]}
	}
	if i := slices.IndexFunc(a.Changes, func(c Change) bool { return c.Path == file }); i >= 0 {
		a.Changes[i].New = g.text
	} else {
		old, _, bad := readOptional(planned.FS, file)
		if len(bad) > 0 {
			return bad
		}
		a.Changes = append(a.Changes, Change{file, old, g.text})
		a.Files = append(a.Files, file)
		slices.Sort(a.Files)
	}
	planned.files[file] = g.text
	return nil
}

// filesOf lists the result files with readings of a session, that of the last
// reading first.
func filesOf(p *project.Project, session string) []string {
	var files []string
	for i := len(p.Readings) - 1; i >= 0; i-- {
		r := &p.Readings[i]
		if r.Derived || r.Session < 0 || p.Sessions[r.Session].ID != session {
			continue
		}
		if file := p.ResultFiles[r.File]; !slices.Contains(files, file) {
			files = append(files, file)
		}
	}
	return files
}

// hasOrder says whether a result file has a column order.
func hasOrder(fsys fs.FS, p *project.Project, file string) bool {
	t, _ := schema.OpenTable(fsys, file, p.Dialect())
	if t == nil {
		return false
	}
	defer t.Close()
	return slices.ContainsFunc(t.Header, func(c schema.Cell) bool { return strings.TrimSpace(c.Text) == "order" })
}

// resultFile checks the name of a result file that a person chose: a CSV file
// straight in results.
func resultFile(name string) (string, []schema.Finding) {
	clean := strings.TrimPrefix(strings.ReplaceAll(name, `\`, "/"), "./")
	if !strings.Contains(clean, "/") {
		clean = "results/" + clean
	}
	dir, base := path.Split(clean)
	if dir != "results/" || path.Ext(base) != ".csv" || strings.HasPrefix(base, ".") || !fs.ValidPath(clean) || strings.ContainsAny(base, "\x00\r\n\t:*?\"<>|") {
		return "", []schema.Finding{finding("file-name", schema.Place{}, "name one straight in the folder results, such as results/night.csv", "%q is not the name of a result file", name)}
	}
	return clean, nil
}
