package project

import (
	"fmt"
	"slices"
	"strings"

	"benchwright/schema"
)

// frameFiles holds what the result files say about files of frame times, and
// what was read from those.
type frameFiles struct {
	read    map[string]frameFile
	named   map[string]bool // by a cell, whether the file is there or not
	missing []missingFrames
	warned  map[string]bool // that there are few frames
}

// missingFrames is a finding about a file that is not there. What to advise is
// known only when all result files are read.
type missingFrames struct {
	finding int // in loader.findings
	path    string
}

func newFrameFiles() *frameFiles {
	return &frameFiles{read: map[string]frameFile{}, named: map[string]bool{}, warned: map[string]bool{}}
}

// adviseOnMissing says what to do about files that are not there. A file that
// another row names already is no advice: taken, it would count for a
// configuration on which it was not recorded.
func (l *loader) adviseOnMissing(f *frameFiles) {
	free := slices.DeleteFunc(slices.Clone(l.folder.Frames), func(path string) bool { return f.named[path] })
	for _, m := range f.missing {
		remedy := "put the file of this run under frames/, or take the row out"
		near := schema.Nearest(m.path, free)
		switch {
		case near != "":
			remedy = fmt.Sprintf("did you mean %q, which no row names yet?", near)
		case len(free) > 0:
			remedy += "; " + freeFiles(free)
		case len(l.folder.Frames) > 0:
			remedy += "; every file in frames/ is named by another row"
		}
		l.findings[m.finding].Remedy = remedy
	}
}

// freeFiles lists files that no row names, a few by name.
func freeFiles(free []string) string {
	const most = 4
	rest := ""
	if n := len(free) - most; n > 0 {
		free, rest = free[:most], fmt.Sprintf(" and %d more", n)
	}
	return fmt.Sprintf("no row names %s%s yet", strings.Join(free, ", "), rest)
}

// few warns of a percentile, or of the slowest frames, of fewer frames than
// have one among them that is beyond it: it is the slowest of them and nothing
// else.
func (f *frameFiles) few(l *loader, path string, file frameFile, w *Workload) {
	if f.warned[path] {
		return
	}
	for _, x := range l.p.Workloads {
		if least := fewestFrames(x.FrameTimes); (x == w || x.FramesOf == w.ID) && file.frames < least {
			f.warned[path] = true
			found := l.reportAt("few-frames", schema.Warning, schema.Place{File: path}, 0, fmt.Sprintf("holds %s, of which %q takes %s", countOf(file.frames, "frame"), x.ID, x.FrameTimes),
				fmt.Sprintf("record a longer run: %s needs at least %d frames", whichFrames(x.FrameTimes), least))
			found.Workloads = []string{x.ID}
			return
		}
	}
}

// whichFrames says what kind of figure needs so many frames.
func whichFrames(statistic string) string {
	switch statistic {
	case "p99-time", "rate-at-p99":
		return "a percentile"
	case "p95-time":
		return "the 95th percentile"
	case "p99.9-time":
		return "the 99.9th percentile"
	case "rate-of-slowest-0.1-percent":
		return "the slowest thousandth"
	}
	return "the slowest hundredth"
}
