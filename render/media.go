package render

import (
	"io/fs"
	"slices"
	"strings"
)

// media copies the photographs that a page shows. What cannot be read was a
// finding long before; here it is left out, and the page shows its text.
func (s *site) media() []File {
	if s.o.Folder == nil {
		return nil
	}
	var out []File
	for _, name := range s.r.Project.Media {
		if !strings.HasPrefix(name, "media/") {
			name = "media/" + name
		}
		data, err := fs.ReadFile(s.o.Folder, name)
		if err != nil {
			continue
		}
		out = append(out, File{Path: name, Data: data})
	}
	slices.SortFunc(out, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	return out
}
