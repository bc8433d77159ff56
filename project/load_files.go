package project

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"benchwright/schema"
)

// loadFiles takes in notes and the lists of pictures and theme files.
func (l *loader) loadFiles() {
	p := l.p
	p.Media, p.Theme = slices.Clone(l.folder.Media), slices.Clone(l.folder.Theme)
	for _, file := range l.folder.Notes {
		text, ok := l.folder.Text(file)
		if !ok {
			continue
		}
		note := Note{File: file, ID: strings.TrimSuffix(path.Base(file), path.Ext(file)), Text: string(text)}
		note.Title = firstHeading(note.Text)
		if note.Title == "" {
			note.Title = note.ID
		}
		p.Notes = append(p.Notes, note)
	}
}

// firstHeading gives the text of the first "# heading" outside a fenced block.
func firstHeading(text string) string {
	fence := ""
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, " \t\r\n")
		trimmed := strings.TrimLeft(line, " ")
		if len(line)-len(trimmed) > 3 {
			continue
		}
		switch {
		case fence != "":
			if strings.HasPrefix(trimmed, fence) {
				fence = ""
			}
		case strings.HasPrefix(trimmed, "```"), strings.HasPrefix(trimmed, "~~~"):
			fence = trimmed[:3]
		case strings.HasPrefix(trimmed, "# "):
			return strings.TrimSpace(strings.TrimRight(strings.TrimSpace(trimmed[2:]), "#"))
		}
	}
	return ""
}

// hasFile reports a file that is named and does not exist.
func (l *loader) hasFile(at node, file string) bool {
	if file == "" {
		return false
	}
	if !fs.ValidPath(file) {
		l.report("missing-file", schema.Error, at, fmt.Sprintf("%q does not lie in the folder", file), "put the picture under media/ and write its path from there: media/NAME.jpg")
		return false
	}
	if slices.Contains(l.folder.Media, file) {
		return true
	}
	if info, err := fs.Stat(l.folder.FS, file); err == nil && info.Mode().IsRegular() {
		if strings.HasPrefix(file, "media/") {
			return true // schema has said why the file cannot be used
		}
		l.report("missing-file", schema.Error, at, fmt.Sprintf("the picture %q does not lie under media/", file), "move it to media/ and write its new path")
		return false
	}
	remedy := "put the picture there, or take this line out"
	if near := schema.Nearest(file, l.folder.Media); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	}
	l.report("missing-file", schema.Error, at, fmt.Sprintf("there is no picture %q", file), remedy)
	return false
}
