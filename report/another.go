package report

// another gives the title of the old record if that is of another report: it has
// no configuration that r has, and another title. A site is then about to be put
// over one of something else, whose readings would all be called withdrawn.
func another(old Publication, r *Report) string {
	if len(old.Configurations) == 0 || len(r.Project.Configurations) == 0 || old.Title == r.Project.Title {
		return ""
	}
	for _, c := range old.Configurations {
		if r.Project.Configuration(c.ID) != nil {
			return ""
		}
	}
	return old.Title
}
