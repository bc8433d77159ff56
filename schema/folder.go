package schema

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// Folder is a project folder as it was read. Documents are nil when their file
// is absent or cannot be used. Paths are relative to the folder, with slashes,
// and sorted.
type Folder struct {
	FS fs.FS

	Report, Bench, Workloads, Sessions *Document
	// Record says how package record reads tables from elsewhere.
	Record *Document
	// Configurations is sorted by path.
	Configurations []*Document

	// Results, Notes, Media, Theme, Frames and Viewers are the files of the
	// folders of those names.
	Results, Notes, Media, Theme, Frames, Viewers []string

	// Unread are the YAML files that are there and could not be used: what others
	// say of their ids may be right or wrong.
	Unread []string

	texts map[string][]byte
}

// Text gives a YAML or Markdown file as it was read, without a byte-order mark.
// It reports false for a file that Read did not read or could not use.
func (f *Folder) Text(path string) ([]byte, bool) {
	t, ok := f.texts[path]
	return t, ok
}

// The files that stand at the top of a project folder.
const (
	reportFile     = "report.yaml"
	benchFile      = "bench.yaml"
	workloadsFile  = "workloads.yaml"
	sessionsFile   = "sessions.yaml"
	recordFile     = "record.yaml"
	provenanceFile = "provenance.csv"
)

func topFiles() []string {
	return []string{reportFile, benchFile, workloadsFile, sessionsFile, recordFile, provenanceFile}
}

// section is a folder inside the project folder.
type section struct {
	name string
	// endings that files of it may have; any when empty.
	endings []string
	// nested: files may lie in folders within it.
	nested bool
	limit  int64
}

func sections() []section {
	return []section{
		{"configurations", []string{".yaml"}, false, LargestText},
		{"results", []string{".csv"}, false, LargestTable},
		{"notes", []string{".md"}, false, LargestText},
		{"media", []string{".svg", ".png", ".jpg", ".jpeg", ".webp", ".avif"}, true, LargestMedia},
		{"theme", nil, true, LargestMedia},
		{"frames", []string{".csv", ".txt"}, true, LargestTable},
		{"viewers", []string{".csv"}, false, LargestTable},
	}
}

func sectionNames() []string {
	var names []string
	for _, s := range sections() {
		names = append(names, s.name)
	}
	return names
}

// IsInput says whether a folder of this name, inside a project folder, is read
// for the report.
func IsInput(name string) bool { return slices.Contains(sectionNames(), name) }

// Read reads and validates a project folder. Everything that is wrong comes
// back as findings, in file order; the folder holds what could be used. To keep
// links from leading out of the folder, give it the FS of an os.Root.
func Read(fsys fs.FS) (*Folder, []Finding) {
	f := &Folder{FS: fsys, texts: map[string][]byte{}}
	r := &reader{Folder: f, files: map[string][]string{}}
	r.folder()
	return f, Sort(r.findings)
}

// reader is the state of one Read.
type reader struct {
	*Folder
	findings []Finding
	files    map[string][]string // by section
	seen     int
	schemas  *schemas
}

func (r *reader) add(fs ...Finding) { r.findings = append(r.findings, fs...) }

// ignored tells files that are nobody's business: hidden ones, and those that
// explain or license a folder.
func ignored(name string) bool {
	if strings.HasPrefix(name, ".") || strings.HasSuffix(name, "~") {
		return true
	}
	upper := strings.ToUpper(name)
	for _, p := range []string{"README", "LICENSE", "LICENCE", "COPYING", "NOTICE"} {
		if strings.HasPrefix(upper, p) {
			return true
		}
	}
	return false
}

// list gives the entries of a folder by name, sorted.
func (r *reader) list(dir string) []fs.DirEntry {
	entries, err := fs.ReadDir(r.FS, dir)
	if err != nil {
		place := dir
		if dir == "." {
			place = ""
		}
		r.add(cannotRead(place, err))
	}
	return slices.DeleteFunc(entries, func(e fs.DirEntry) bool { return ignored(e.Name()) })
}

// directory tells whether an entry is a folder, looking through a link.
func (r *reader) directory(p string, e fs.DirEntry) bool {
	if e.Type()&fs.ModeSymlink == 0 {
		return e.IsDir()
	}
	info, err := fs.Stat(r.FS, p)
	return err == nil && info.IsDir()
}

func (r *reader) folder() {
	entries := r.list(".")
	if len(r.findings) > 0 && len(entries) == 0 {
		return
	}
	if len(entries) == 0 {
		r.add(Finding{Rule: "empty-folder", Message: "the folder is empty: there is no report in it",
			Remedy: "make one to fill in with: benchwright start"})
		return
	}
	var unknown []string // top-level files
	present := map[string]bool{}
	for _, e := range entries {
		name := e.Name()
		if r.directory(name, e) {
			if slices.Contains(topFiles(), name) {
				present[name] = true // and found to be a folder when it is read
				continue
			}
			r.section(name, e)
			continue
		}
		if s := sectionNames(); e.Type()&fs.ModeSymlink != 0 && slices.Contains(s, name) {
			if _, err := fs.Stat(r.FS, name); err != nil {
				r.add(cannotRead(name, err))
				continue
			}
		}
		if slices.Contains(topFiles(), name) {
			present[name] = true
			continue
		}
		unknown = append(unknown, name)
	}
	if !r.looksLikeReport(present, unknown) {
		r.findings = []Finding{{Rule: "not-a-report", Message: "this folder holds no report and no shelf of reports: none of its files is one of " +
			`"report.yaml", "bench.yaml", "workloads.yaml", "shelf.yaml"`,
			Remedy: "name the folder of a report, or of reports with a shelf.yaml, or make a new one with: benchwright start"}}
		return
	}
	r.schemas = newSchemas()
	take := func(want string, required bool) *Document {
		if present[want] {
			return r.document(want, strings.TrimSuffix(want, ".yaml"))
		}
		for i, name := range unknown {
			if lookalike(name, want) {
				unknown = slices.Delete(unknown, i, i+1)
				r.add(Finding{Rule: "missing-file", Place: Place{File: name}, Message: fmt.Sprintf("%q is missing; this file looks like it", want),
					Remedy: fmt.Sprintf("rename %q to %q", name, want)})
				return r.documentAs(name, want, strings.TrimSuffix(want, ".yaml"))
			}
		}
		if required {
			r.add(Finding{Rule: "missing-file", Place: Place{File: want}, Message: "is missing", Remedy: whatFor(want)})
		}
		return nil
	}
	r.Report = take(reportFile, true)
	r.Bench = take(benchFile, true)
	r.Workloads = take(workloadsFile, true)
	r.Sessions = take(sessionsFile, len(r.files["results"]) > 0)
	if present[recordFile] { // optional, so that nothing is held to be it
		r.Record = r.document(recordFile, "record")
	}
	for _, name := range unknown {
		r.unknownFile(name, topFiles(), "")
	}
	for _, p := range r.files["configurations"] {
		if d := r.document(p, "configuration"); d != nil {
			r.Configurations = append(r.Configurations, d)
		}
	}
	if len(r.files["configurations"]) == 0 {
		r.add(Finding{Rule: "missing-file", Place: Place{File: "configurations"}, Message: "there is no configuration",
			Remedy: `write at least one file such as "configurations/reference.yaml" with "set:" and what differs from the common values`})
	}
	for _, p := range r.files["notes"] {
		if text, fs := readText(r.FS, p); text != nil {
			r.texts[p] = text
			r.Notes = append(r.Notes, p)
		} else {
			r.add(fs...)
		}
	}
	r.Results, r.Media, r.Theme = r.files["results"], r.files["media"], r.files["theme"]
	r.Frames, r.Viewers = r.files["frames"], r.files["viewers"]
}

// looksLikeReport tells a project folder, however broken, from any other.
func (r *reader) looksLikeReport(present map[string]bool, unknown []string) bool {
	if len(present) > 0 || len(r.files["configurations"]) > 0 || len(r.files["results"]) > 0 {
		return true
	}
	return slices.ContainsFunc(unknown, func(name string) bool {
		return lookalike(name, reportFile) || lookalike(name, benchFile) || lookalike(name, workloadsFile)
	})
}

// lookalike tells a file that was meant to be want: another ending of YAML, or
// a slip in the name.
func lookalike(name, want string) bool {
	ending := strings.ToLower(path.Ext(name))
	if ending != ".yaml" && ending != ".yml" {
		return false
	}
	return Nearest(strings.TrimSuffix(name, path.Ext(name)), []string{strings.TrimSuffix(want, ".yaml")}) != ""
}

func whatFor(want string) string {
	switch want {
	case reportFile:
		return "write it: title, author, date, licence, baseline and questions; or make a whole folder with: benchwright start"
	case benchFile:
		return "write it: what the bench is, its factors, and the values common to all configurations"
	case workloadsFile:
		return "write it: for each workload its metric, its unit and whether higher or lower is better"
	}
	return "write it: the date of each session that the results name"
}

// isSite says whether a folder is a published site: an author may well have one
// beside the files that it is made from, and knows that it is not read.
func (r *reader) isSite(name string) bool {
	for _, file := range [...]string{"SHA256SUMS", "data/datapackage.json"} {
		if info, err := fs.Stat(r.FS, name+"/"+file); err != nil || !info.Mode().IsRegular() {
			return false
		}
	}
	return true
}

// section collects the files of one folder.
func (r *reader) section(name string, e fs.DirEntry) {
	names := sectionNames()
	i := slices.Index(names, name)
	if i < 0 && r.isSite(name) {
		return
	}
	if i < 0 {
		f := Finding{Rule: "unknown-file", Severity: Notice, Place: Place{File: name}, Message: "the folder is not read: its name is not one of a report's",
			Remedy: "folders of a report: " + strings.Join(names, ", ")}
		if near := Nearest(name, names); near != "" {
			f.Severity, f.Remedy = Warning, fmt.Sprintf("did you mean %q?", near)
		}
		r.add(f)
		return
	}
	if e.Type()&fs.ModeSymlink != 0 {
		r.add(Finding{Rule: "cannot-read", Place: Place{File: name}, Message: "is a link to another folder",
			Remedy: "put the files themselves into a folder of that name"})
		return
	}
	r.walk(sections()[i], name, 1)
}

func (r *reader) walk(s section, dir string, depth int) {
	for _, e := range r.list(dir) {
		p := path.Join(dir, e.Name())
		if r.seen++; r.seen > MostFiles {
			if r.seen == MostFiles+1 {
				r.add(Finding{Rule: "too-large", Place: Place{File: dir}, Message: fmt.Sprintf("the folder holds more than %d files; the rest is not read", MostFiles),
					Remedy: "move what does not belong to the report elsewhere"})
			}
			return
		}
		if r.directory(p, e) {
			switch {
			case e.Type()&fs.ModeSymlink != 0:
				r.add(Finding{Rule: "cannot-read", Place: Place{File: p}, Message: "is a link to a folder",
					Remedy: "put the files themselves into the folder"})
			case !s.nested:
				r.add(Finding{Rule: "unknown-file", Severity: Warning, Place: Place{File: p}, Message: "the folder is not read",
					Remedy: fmt.Sprintf("put its files straight into %q", s.name)})
			case depth >= DeepestFolder:
				r.add(Finding{Rule: "too-deep", Place: Place{File: p}, Message: fmt.Sprintf("folders lie within one another more than %d deep", DeepestFolder),
					Remedy: "put the files higher up"})
			default:
				r.walk(s, p, depth+1)
			}
			continue
		}
		if ending := path.Ext(p); len(s.endings) > 0 && !slices.Contains(s.endings, ending) {
			if s.name == "configurations" && strings.EqualFold(ending, ".yml") || len(s.endings) > 0 && slices.Contains(s.endings, strings.ToLower(ending)) {
				want := strings.TrimSuffix(p, ending) + s.endings[max(0, slices.Index(s.endings, strings.ToLower(ending)))]
				r.add(Finding{Rule: "file-name", Place: Place{File: p}, Message: fmt.Sprintf("ends in %q where %q belongs", ending, path.Ext(want)),
					Remedy: fmt.Sprintf("rename it to %q", want)})
			} else {
				r.unknownFile(p, nil, s.endings[0])
				continue
			}
		}
		if f, ok := regular(r.FS, p, s.limit, "make it smaller, or split it"); !ok {
			r.add(f)
			continue
		}
		r.files[s.name] = append(r.files[s.name], p)
	}
}

// unknownFile says that a file is not read.
func (r *reader) unknownFile(p string, names []string, ending string) {
	f := Finding{Rule: "unknown-file", Severity: Notice, Place: Place{File: p}, Message: "the file is not read: nothing of a report has that name"}
	if ending == ".csv" && slices.Contains([]string{".tsv", ".tab", ".xlsx", ".xls", ".ods"}, strings.ToLower(path.Ext(p))) {
		// A table by every sign: somebody believes that it is read.
		f.Severity, f.Message = Warning, "the table is not read: only CSV files are"
		f.Remedy = fmt.Sprintf("save it as CSV in UTF-8: %q", strings.TrimSuffix(p, path.Ext(p))+".csv")
		r.add(f)
		return
	}
	if near := Nearest(path.Base(p), names); near != "" {
		f.Severity, f.Remedy = Warning, fmt.Sprintf("did you mean %q?", near)
	} else if ending != "" {
		f.Message = fmt.Sprintf("the file is not read: files of this folder end in %q", ending)
	}
	r.add(f)
}

// document reads, parses and validates one YAML file. kind names the schema.
func (r *reader) document(p, kind string) *Document { return r.documentAs(p, p, kind) }

// documentAs is document for a file that stands in the place of another.
func (r *reader) documentAs(p, want, kind string) *Document {
	d := r.readDocument(p, kind)
	if d == nil {
		r.Unread = append(r.Unread, want)
	}
	return d
}

func (r *reader) readDocument(p, kind string) *Document {
	text, fs := readText(r.FS, p)
	r.add(fs...)
	if text == nil {
		return nil
	}
	r.texts[p] = text
	d, fs := parse(p, text)
	r.add(fs...)
	if d == nil {
		return nil
	}
	if kind == "configuration" && hasKey(d.Root, "configurations") {
		kind = "configurations"
	}
	faults := r.schemas.validate(d, kind)
	r.add(faults...)
	d.Valid = len(fs) == 0 && len(faults) == 0
	return d
}
