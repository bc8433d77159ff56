package record

import (
	"fmt"

	"benchwright/project"
	"benchwright/schema"
)

// cellKey names a reading of a folder.
type cellKey struct{ configuration, workload, session, repeat int32 }

func keyOf(r *project.Reading) cellKey {
	return cellKey{r.Configuration, r.Workload, r.Session, r.Repeat}
}

// confirm holds the folder as it would be against what was meant: every reading
// that was there is as it was, each new one is there with its value and
// outcome, and no other. Repeat and order that were not given are taken over
// as the file gives them.
func confirm(before, after *project.Project, added []Reading, rows []schema.Place) []schema.Finding {
	had := map[cellKey]*project.Reading{}
	for i := range before.Readings {
		if r := &before.Readings[i]; !r.Derived {
			had[keyOf(r)] = r
		}
	}
	fresh := map[cellKey]*project.Reading{}
	type standing struct {
		file                    string
		line                    int
		configuration, workload string
	}
	at := map[standing]*project.Reading{}
	for i := range after.Readings {
		r := &after.Readings[i]
		if r.Derived {
			continue
		}
		old, ok := had[keyOf(r)]
		if !ok {
			fresh[keyOf(r)] = r
			at[standing{after.ResultFiles[r.File], int(r.Line), after.Configurations[r.Configuration].ID, after.Workloads[r.Workload].ID}] = r
			continue
		}
		if before.Written(old) != after.Written(r) || old.Outcome != r.Outcome || old.Order != r.Order || old.HasValue != r.HasValue {
			return []schema.Finding{finding("cannot-append", before.Place(*old), "name another file", "with the rows added, this reading would get another repeat or place in the session")}
		}
		delete(had, keyOf(r))
	}
	for i := range before.Readings {
		r := &before.Readings[i]
		if r.Derived || had[keyOf(r)] != r {
			continue
		}
		return []schema.Finding{finding("cannot-append", before.Place(*r), "name another file", "with the rows added, this reading would be lost")}
	}
	var bad []schema.Finding
	for i := range added {
		r := &added[i]
		if !r.repeatGiven {
			if x := at[standing{rows[i].File, rows[i].Line, r.Configuration, r.Workload}]; x != nil {
				r.Repeat = int(x.Repeat)
			}
		}
		k := keyIn(after, *r)
		found, ok := fresh[k]
		if !ok || !means(found, *r) {
			place := r.At
			if place.File == "" {
				place = rows[i]
			}
			bad = append(bad, finding("cannot-append", place, "name another file", "%s would not be read back as it was given", describe(*r)))
			continue
		}
		r.Order = int(found.Order)
		delete(fresh, k)
	}
	if len(bad) == 0 && len(fresh) > 0 {
		bad = append(bad, finding("cannot-append", schema.Place{}, "name another file", "the rows added would be read as %d more readings than were given", len(fresh)))
	}
	return bad
}

func keyIn(p *project.Project, r Reading) cellKey {
	k := cellKey{-1, -1, -1, int32(r.Repeat)}
	if c := p.Configuration(r.Configuration); c != nil {
		k.configuration = int32(c.Index)
	}
	if w := p.Workload(r.Workload); w != nil {
		k.workload = int32(w.Index)
	}
	if s := p.Session(r.Session); s != nil {
		k.session = int32(s.Index)
	}
	return k
}

// means says whether a reading of the folder is the one that was given.
func means(found *project.Reading, r Reading) bool {
	if found.HasValue != (r.Value != "") || found.Outcome.String() != r.Outcome {
		return false
	}
	v, _, ok := schema.ParseNumber(r.Value, schema.Dialect{})
	return !found.HasValue || !ok || found.Raw == v
}

// describe names a reading for messages.
func describe(r Reading) string {
	what := r.Value
	if what == "" {
		what = r.Outcome
	}
	return fmt.Sprintf("repeat %d of %q on %q (%s)", r.Repeat, r.Workload, r.Configuration, what)
}
