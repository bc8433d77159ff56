package design

// Rules lists every rule of this package, group by group.
func Rules() []Rule {
	return []Rule{}
}
