package design

import (
	"fmt"
	"slices"
	"strconv"

	"benchwright/project"
	"benchwright/schema"
)

func frameFileLength() Rule {
	return Rule{
		Name: "frame-file-length", Group: Repeats, Severity: schema.Warning,
		Title: "A file of frame times is much shorter or longer than its repeats",
		What: "A file of frame times has fewer than half, or more than twice, as many frames as the median of its repeats, and lasts less than half or more than twice as long. " +
			"The repeats are the files of the same workload on the same configuration; where there are fewer than three, all files of the workload. " +
			"Both have to differ: a faster configuration shows more frames in the same time, or as many in less.",
		Why:    "A recording that was cut short, or that ran on into a menu, holds another part of the test than its repeats do. Its rate, and above all its slow frames, are those of another test.",
		Remedy: "Record the run again over its whole length. If the file cannot be had again, give its row the outcome excluded with the reason.",
		Source: "common practice, no source",
		look:   (*inquiry).frameFileLength,
	}
}

// fewestRecordings are as many as a median needs to tell which one is odd.
const fewestRecordings = 3

// recording is a file of frame times as one reading names it.
type recording struct {
	reading int
	frames  int
	seconds float64
}

func (in *inquiry) frameFileLength() {
	type cell struct{ workload, configuration int32 }
	const every = -1 // configuration
	groups := make(map[cell][]recording)
	var all []recording
	seen := make(map[string]bool)
	for i := range in.p.Readings {
		r := &in.p.Readings[i]
		if w := in.p.Workloads[r.Workload]; r.Derived || !r.HasValue || w.FrameTimes == "" || w.FramesOf != "" || r.Outcome != project.OK {
			continue
		}
		path := in.p.Written(r)
		frames, seconds, ok := in.p.FrameLength(path)
		if key := path + "\x00" + in.workloadID(int(r.Workload)); !ok || seen[key] {
			continue
		} else {
			seen[key] = true
		}
		one := recording{i, frames, seconds}
		all = append(all, one)
		for _, c := range []int32{r.Configuration, every} {
			groups[cell{r.Workload, c}] = append(groups[cell{r.Workload, c}], one)
		}
	}
	for _, one := range all {
		r := &in.p.Readings[one.reading]
		among, where := groups[cell{r.Workload, r.Configuration}], fmt.Sprintf(" on %q", in.configurationID(int(r.Configuration)))
		if len(among) < fewestRecordings {
			among, where = groups[cell{r.Workload, every}], ""
		}
		if len(among) < fewestRecordings {
			continue
		}
		frames := middle(among, func(x recording) float64 { return float64(x.frames) })
		seconds := middle(among, func(x recording) float64 { return x.seconds })
		short := 2*float64(one.frames) < frames && 2*one.seconds < seconds
		long := float64(one.frames) > 2*frames && one.seconds > 2*seconds
		if !short && !long {
			continue
		}
		f := schema.Finding{Place: in.place(one.reading),
			Message: fmt.Sprintf("%q holds %d frames in %s s; the median of the %d files of %q%s is %s frames in %s s",
				in.p.Written(r), one.frames, tenths(one.seconds), len(among), in.workloadID(int(r.Workload)), where, strconv.FormatFloat(frames, 'f', -1, 64), tenths(seconds)),
			Remedy: "record the run again over its whole length, or exclude it with the reason"}
		in.concern(&f, r)
		in.add(f)
	}
}

// middle is the median of a figure of recordings.
func middle(of []recording, figure func(recording) float64) float64 {
	var v []float64
	for _, x := range of {
		v = append(v, figure(x))
	}
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

func tenths(seconds float64) string { return strconv.FormatFloat(seconds, 'f', 1, 64) }
