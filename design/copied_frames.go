package design

import (
	"cmp"
	"fmt"

	"benchwright/project"
	"benchwright/schema"
)

func copiedFrameTimes() Rule {
	return Rule{
		Name: "copied-frame-times", Group: Repeats, Severity: schema.Error,
		Title: "One recording of frame times stands for two runs",
		What: "Two runs (a configuration, session and repeat) name one file of frame times; or they name two files that hold the same times, frame by frame, whatever their headings. " +
			"Workloads that take different figures from the file of one run may all name it. Files in which every frame took the same time are only told apart by name. " +
			"A copy of which a single frame was changed or left out is not found.",
		Why:    "A recording belongs to one run. Given for another one, it makes two configurations alike that were never compared, or the repeats of one agree more than they do.",
		Remedy: "Name the file of each run. Where a file was lost, take the row out or run it again. If a cap and whole milliseconds really gave the same times, silence the rule and say so.",
		Source: "none needed",
		look:   (*inquiry).copiedFrameTimes,
	}
}

func (in *inquiry) copiedFrameTimes() {
	// A recording is known by its name, and by its times.
	named := make(map[string]int) // readings
	held := make(map[string]int)
	found := make(map[int]*schema.Finding) // by the first reading
	var order []int
	for i := range in.p.Readings {
		r := &in.p.Readings[i]
		if w := in.p.Workloads[r.Workload]; r.Derived || !r.HasValue || w.FrameTimes == "" || w.FramesOf != "" {
			continue
		}
		path := in.p.Written(r)
		first, again := named[path]
		if !again {
			named[path] = i
			sum, ok := in.p.FrameSum(path)
			if !ok {
				continue
			}
			if first, again = held[sum]; !again {
				held[sum] = i
				continue
			}
		}
		other := &in.p.Readings[first]
		if ofReading(other) == ofReading(r) && other.Workload != r.Workload {
			continue
		}
		if f := found[first]; f != nil {
			const most = 8
			if len(f.Related) < most {
				f.Related = append(f.Related, schema.Related{Place: in.place(i), Message: in.recordingName(r)})
			}
			in.concern(f, r)
			continue
		}
		message := fmt.Sprintf("the frame times %q are given for %s, and before that for %s", path, in.recordingName(r), in.recordingName(other))
		if before := in.p.Written(other); before != path {
			message = fmt.Sprintf("%q, given for %s, holds the same frame times as %q, given for %s", path, in.recordingName(r), before, in.recordingName(other))
		}
		f := &schema.Finding{Place: in.place(i), Message: message,
			Remedy:  "name the file that was recorded in each run; where it was lost, take the row out or run it again",
			Related: []schema.Related{{Place: in.place(first), Message: in.recordingName(other)}}}
		in.concern(f, other)
		in.concern(f, r)
		found[first] = f
		order = append(order, first)
	}
	for _, first := range order {
		in.add(*found[first])
	}
}

// concern adds the names of a reading to a finding.
func (in *inquiry) concern(f *schema.Finding, r *project.Reading) {
	c := int(r.Configuration)
	f.Configurations = append(f.Configurations, in.configurationID(c))
	f.Workloads = append(f.Workloads, in.workloadID(int(r.Workload)))
	f.Sessions = append(f.Sessions, in.sessionIDs([]int{int(r.Session)})...)
	f.Questions = append(f.Questions, in.questionsWith(c)...)
}

// recordingName says which run of which workload it is.
func (in *inquiry) recordingName(r *project.Reading) string {
	of := ""
	if session := in.sessionName(r.Session); session != "" {
		of = fmt.Sprintf(" of %q", session)
	}
	return fmt.Sprintf("repeat %d of %q on %q%s", cmp.Or(r.Repeat, 1), in.workloadID(int(r.Workload)), in.configurationID(int(r.Configuration)), of)
}
