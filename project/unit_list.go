package project

// ListedUnit is a standard unit as a list for people has it.
type ListedUnit struct {
	Symbol string
	// Others are further spellings of it.
	Others []string
	// Prefixes it may have: "k" for 1000 times as much.
	Prefixes []string
}

// ListUnits gives every standard unit once, without its prefixed forms, things
// that are counted last.
func ListUnits() []ListedUnit {
	var list []ListedUnit
	for _, k := range kinds() {
		u := ListedUnit{Symbol: k.symbol, Others: k.others}
		for _, p := range prefixes() {
			if k.takes&p.class != 0 && p.symbol != "u" { // the other spelling of µ
				u.Prefixes = append(u.Prefixes, p.symbol)
			}
		}
		list = append(list, u)
	}
	return list
}
