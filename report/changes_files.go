package report

import (
	"fmt"
	"path"
	"slices"
	"strings"
)

// PublishedFile is a file of the folder that an edition was made from, with the
// SHA-256 of what it says, in hexadecimal. A part of a file that is held against
// its earlier state by itself has a path of the form FILE#PART, of which there
// may be several.
type PublishedFile struct {
	Path string `json:"path"`
	Sum  string `json:"sum"`
}

// DatedFile is the file that has another date in every edition, which is no
// change of what it says; CorrectionPart names the entries under corrections in
// it, each of which is held against what it was.
const (
	DatedFile      = "report.yaml"
	CorrectionPart = DatedFile + "#corrections"
)

// TakeFiles adds to the changes what else was changed in the folder since the
// edition before, file by file: a name, a reason, a date, a note. What is listed
// already (a new reading and the file in which it stands) is not said twice. was
// is nil where nobody knows any more what the files were; then the changes do
// not claim that they are the same.
func (c *Changes) TakeFiles(r *Report, was, now []PublishedFile) {
	say := r.work.say
	if was == nil {
		if c.Nothing {
			c.Sentences = []Sentence{{Text: say.Say("changes.files.unknown")}}
		}
		return
	}
	changed, added, gone := c.otherFiles(was, now)
	if len(changed)+len(added)+len(gone) == 0 {
		return
	}
	alone := c.Nothing
	if alone {
		c.Nothing, c.Sentences = false, nil
	}
	tell := func(key string, names []string) {
		switch {
		case len(names) == 0:
		case len(names) > mostNamed:
			c.Sentences = append(c.Sentences, Sentence{Text: say.Count(key+".many", len(names))})
		default:
			c.Sentences = append(c.Sentences, Sentence{Text: say.Count(key, len(names), "names", joinWords(say, names))})
		}
	}
	tell("changes.files.new", added)
	tell("changes.files.gone", gone)
	key := "changes.files.changed"
	switch {
	case alone && len(c.Sentences) == 0:
		key = "changes.files.changed.alone"
	case c.still:
		key = "changes.files.changed.still"
	}
	tell(key, changed)
	if c.still && len(changed) == 0 {
		c.Sentences = append(c.Sentences, Sentence{Text: say.Say("changes.files.still")})
	}
}

// otherFiles are those that say something else than they did, are new, or are
// gone, without those of which the lists of readings tell.
func (c *Changes) otherFiles(was, now []PublishedFile) (changed, added, gone []string) {
	sums := func(all []PublishedFile) map[string][]string {
		out := map[string][]string{}
		for _, f := range all {
			out[f.Path] = append(out[f.Path], f.Sum)
		}
		for _, list := range out {
			slices.Sort(list)
		}
		return out
	}
	before, after := sums(was), sums(now)
	for file, sum := range after {
		switch old, there := before[file]; {
		case file == CorrectionPart:
		case !there && !c.toldOf(file, true):
			added = append(added, file)
		case there && !slices.Equal(old, sum) && !c.toldOf(file, false):
			changed = append(changed, file)
		}
	}
	for file := range before {
		if after[file] == nil && file != CorrectionPart && !c.toldOfGone(file) {
			gone = append(gone, file)
		}
	}
	// A correction more comes with its reading. One that says something else than
	// it did, or is gone, does not.
	old, more := before[CorrectionPart], after[CorrectionPart]
	kept := !slices.ContainsFunc(old, func(sum string) bool { return !slices.Contains(more, sum) })
	if !slices.Equal(old, more) && !(kept && len(c.Corrected) > 0) && !slices.Contains(changed, DatedFile) {
		changed = append(changed, DatedFile)
	}
	slices.Sort(changed)
	slices.Sort(added)
	slices.Sort(gone)
	return changed, added, gone
}

// toldOf says that the lists tell what is new in a file, or what was changed.
func (c *Changes) toldOf(file string, added bool) bool {
	switch path.Dir(file) {
	case "results":
		return c.touched[file]
	case "viewers":
		return c.outside
	case "configurations":
		return added && c.came
	}
	return false
}

func (c *Changes) toldOfGone(file string) bool {
	switch path.Dir(file) {
	case "results":
		return len(c.Withdrawn) > 0
	case "viewers":
		return c.outside
	case "configurations":
		return c.went
	}
	return false
}

// touch remembers in which result files the readings stand of which the lists
// tell: those of a group, and for readings that are gone all of its session.
func (c *comparison) touch(out *Changes, g *PublishedReadings, gone bool) {
	if out.touched == nil {
		out.touched = map[string]bool{}
	}
	p := c.r.Project
	x, okX := c.configurationAt[g.Configuration]
	y, okY := c.workloadAt[g.Workload]
	if okX && okY {
		for k := range c.r.Cells[x][y].Readings {
			rd := &c.r.Cells[x][y].Readings[k]
			if rd.Session < 0 && g.Session == "" || rd.Session >= 0 && p.Sessions[rd.Session].ID == g.Session {
				out.touched[rd.Place.File] = true
			}
		}
	}
	if gone {
		if c.lessIn == nil {
			c.lessIn = map[string]bool{}
		}
		c.lessIn[g.Session] = true
	}
}

// touchSessions adds the files of sessions that lost a reading: in which of them
// it stood nobody knows.
func (c *comparison) touchSessions(out *Changes) {
	if len(c.lessIn) == 0 {
		return
	}
	p := c.r.Project
	for i := range p.Readings {
		rd := &p.Readings[i]
		session := ""
		if rd.Session >= 0 {
			session = p.Sessions[rd.Session].ID
		}
		if c.lessIn[session] && int(rd.File) < len(p.ResultFiles) {
			out.touched[p.ResultFiles[rd.File]] = true
		}
	}
}

// renamed says which configurations, workloads and questions have another name
// than they had, under the same id.
func (c *comparison) renamed() {
	told := 0
	tell := func(key, page, was, now string) {
		was, now = strings.TrimSpace(was), strings.TrimSpace(now)
		if was == "" || was == now {
			return
		}
		if told++; told <= mostNamed {
			c.remark(page, key, "was", c.quoted(was), "now", c.quoted(now))
		}
	}
	old := map[string]string{}
	for _, x := range c.old.Configurations {
		old[x.ID] = x.Label
	}
	for _, x := range c.now.Configurations {
		tell("changes.renamed", c.configurationPage[x.ID], old[x.ID], x.Label)
	}
	clear(old)
	for _, x := range c.old.Workloads {
		old[x.ID] = x.Label
	}
	for _, x := range c.now.Workloads {
		tell("changes.renamed", c.workloadPage[x.ID], old[x.ID], x.Label)
	}
	clear(old)
	for _, x := range c.old.Questions {
		old[x.ID] = x.Ask
	}
	for i, x := range c.now.Questions {
		tell("changes.reworded", c.r.Questions[i].Page, old[x.ID], x.Ask)
	}
	if told > mostNamed {
		c.remarks = append(c.remarks, Sentence{Text: c.say.Count("changes.renamed.more", told-mostNamed)})
	}
}

// still says that neither a reading nor an answer nor a followed figure is
// another one than it was, also where the words of an answer alone are.
func (c *comparison) still(out *Changes) bool {
	if len(out.Turned)+len(out.New)+len(out.Corrected)+len(out.Excluded)+len(out.Withdrawn)+len(out.Figures)+len(out.Apart)+len(c.remarks) > 0 || out.outside {
		return false
	}
	was := map[string]string{}
	for _, q := range c.old.Questions {
		was[q.ID] = q.Answer
	}
	return !slices.ContainsFunc(c.now.Questions, func(q PublishedQuestion) bool { return was[q.ID] != q.Answer })
}

// otherID says which new configuration looks like a withdrawn one under another
// id: every reading of the one is a reading of the other, to the last digit. Of
// a single reading, or where several look alike, nobody can tell.
func (c *comparison) otherID() {
	if !c.came || !c.went {
		return
	}
	had, has := map[string]bool{}, map[string]bool{}
	for _, x := range c.old.Configurations {
		had[x.ID] = true
	}
	for _, x := range c.now.Configurations {
		has[x.ID] = true
	}
	before, after := byReadings(c.old.Readings, has), byReadings(c.now.Readings, had)
	for _, x := range c.now.Configurations {
		for what, list := range after {
			if old := before[what]; list[0] == x.ID && len(list) == 1 && len(old) == 1 {
				c.remark(c.configurationPage[x.ID], "changes.other-id", "now", x.Label, "was", c.configuration(old[0]), "new", x.ID, "old", old[0])
			}
		}
	}
}

// byReadings finds configurations by all of their readings; those that are in
// both editions are left out.
func byReadings(all []PublishedReadings, both map[string]bool) map[string][]string {
	lines, values := map[string][]string{}, map[string]int{}
	for i := range all {
		g := &all[i]
		if both[g.Configuration] {
			continue
		}
		var b strings.Builder
		fmt.Fprintf(&b, "%q %q", g.Workload, g.Session)
		for j := range g.Repeats {
			k := g.whole(j)
			fmt.Fprintf(&b, " %v", k)
			if k.hasValue {
				values[g.Configuration]++
			}
		}
		lines[g.Configuration] = append(lines[g.Configuration], b.String())
	}
	out := map[string][]string{}
	for id, list := range lines {
		if values[id] > 1 {
			slices.Sort(list)
			what := strings.Join(list, "\n")
			out[what] = append(out[what], id)
		}
	}
	return out
}
