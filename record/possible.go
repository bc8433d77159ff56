package record

import (
	"fmt"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// impossible refuses readings that the checker would call impossible: outside
// what the workload says is possible, or zero or less on a ratio scale. Unlike
// a doubt it cannot be waved through: after it, right values would be held
// against a wrong one.
func impossible(after *project.Project, added []Reading) []schema.Finding {
	at := map[cellKey]*project.Reading{}
	for i := range after.Readings {
		if r := &after.Readings[i]; !r.Derived {
			at[keyOf(r)] = r
		}
	}
	var bad []schema.Finding
	for _, r := range added {
		found := at[keyIn(after, r)]
		if found == nil || !found.HasValue || found.Outcome != project.OK {
			continue
		}
		w := after.Workloads[found.Workload]
		why := impossibleFor(w, found.Value)
		if why == "" {
			continue
		}
		value := r.Value
		if r.Unit != "" {
			value += "\u00a0" + r.Unit
		}
		f := finding("impossible-reading", r.At, "check the number and its unit; if the run went wrong, give it an outcome other than ok",
			"%s for %q on %q is %s", value, w.ID, r.Configuration, why)
		f.Configurations, f.Workloads = []string{r.Configuration}, []string{w.ID}
		bad = append(bad, f)
	}
	return bad
}

// impossibleFor says why a workload cannot have a value, in its unit; empty
// when it can.
func impossibleFor(w *project.Workload, v float64) string {
	bound := func(limit float64) string {
		s := strings.Replace(strconv.FormatFloat(limit, 'g', -1, 64), "-", "\u2212", 1)
		return strings.TrimSuffix(s+"\u00a0"+w.Unit.Symbol, "\u00a0")
	}
	switch {
	case w.HasLeast && v < w.Least:
		return fmt.Sprintf("below %s, the least that it can be", bound(w.Least))
	case w.HasMost && v > w.Most:
		return fmt.Sprintf("above %s, the most that it can be", bound(w.Most))
	case w.Scale == project.RatioScale && v < 0:
		return "negative, which a reading on a ratio scale cannot be: it has to be above 0"
	case w.Scale == project.RatioScale && v == 0:
		return "zero, to which nothing can be compared by a ratio: it has to be above 0"
	}
	return ""
}
