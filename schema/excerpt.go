package schema

// Excerpts fills in Excerpt and ExcerptColumn.
func (f *Folder) Excerpts(fs []Finding) []Finding { return fs }
