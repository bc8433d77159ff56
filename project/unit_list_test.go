package project

import "testing"

// Whatever the list offers can be used.
func TestListedUnitsAreUnits(t *testing.T) {
	list := ListUnits()
	if len(list) < 50 {
		t.Errorf("only %d units", len(list))
	}
	for _, u := range list {
		for _, symbol := range append([]string{u.Symbol}, u.Others...) {
			for _, prefix := range append([]string{""}, u.Prefixes...) {
				if _, ok := ParseUnit(prefix + symbol); !ok {
					t.Errorf("%s%s is no unit", prefix, symbol)
				}
			}
		}
	}
}
