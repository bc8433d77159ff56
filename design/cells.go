package design

import (
	"encoding/binary"
	"slices"

	"benchwright/project"
)

// Empty is two studied factors of which some combinations of levels were
// never tested.
type Empty struct {
	A, B int // in Project.Factors
	// Missing counts the combinations, Of how many there could be.
	Missing, Of int
	// Levels lists up to mostCells of them, as values of A and B.
	Levels [][2]project.Value
}

// mostCells is how many empty cells of two factors are listed.
const mostCells = 16

// emptyCells looks at every two studied factors that vary.
func (s *Space) emptyCells(t *runs) []Empty {
	var studied []int
	for f, factor := range s.p.Factors {
		if factor.Role == project.Studied && t.size[f] > 1 {
			studied = append(studied, f)
		}
	}
	var list []Empty
	eachSubset(studied, 2, func(pair []int) {
		a, b := pair[0], pair[1]
		tested := make([]bool, t.size[a]*t.size[b])
		for i := range t.configuration {
			tested[t.class[a][i]*t.size[b]+t.class[b][i]] = true
		}
		e := Empty{A: a, B: b, Of: len(tested)}
		for i, there := range tested {
			if there {
				continue
			}
			e.Missing++
			if len(e.Levels) < mostCells {
				e.Levels = append(e.Levels, [2]project.Value{t.value[a][i/t.size[b]], t.value[b][i%t.size[b]]})
			}
		}
		if e.Missing > 0 {
			list = append(list, e)
		}
	})
	return list
}

// moveTogether groups the factors that split the runs in the same way. Within
// a group, a factor that is declared to follow another of the group is left
// out, and nuisance factors are in none, nor numbers that are different in every run.
func (s *Space) moveTogether(t *runs) [][]int {
	groups := make(map[string][]int)
	var keys []string
	for f, factor := range s.p.Factors {
		if t.size[f] < 2 || factor.Role == project.Nuisance {
			continue
		}
		if rows := len(t.configuration); factor.Numeric && t.size[f] == rows && rows > 3 {
			continue // a number of its own in every run: see how they correlate
		}
		key := partition(t.class[f])
		if groups[key] == nil {
			keys = append(keys, key)
		}
		groups[key] = append(groups[key], f)
	}
	var list [][]int
	for _, key := range keys {
		group := groups[key]
		independent := slices.DeleteFunc(slices.Clone(group), func(f int) bool {
			return slices.ContainsFunc(group, func(g int) bool { return g != f && s.descendsFrom(f, g) })
		})
		if len(independent) > 1 {
			list = append(list, independent)
		}
	}
	return list
}

// partition names how classes split the rows, whatever the classes are called.
func partition(class []int) string {
	renamed := make(map[int]uint32)
	key := make([]byte, 0, 4*len(class))
	for _, c := range class {
		if _, ok := renamed[c]; !ok {
			renamed[c] = uint32(len(renamed))
		}
		key = binary.LittleEndian.AppendUint32(key, renamed[c])
	}
	return string(key)
}
