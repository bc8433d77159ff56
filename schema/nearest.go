package schema

import (
	"strings"
	"unicode"
)

// Words longer than this are not compared letter by letter: nobody mistypes a
// key of that length, and the cost grows with the square.
const longestWord = 48

// Nearest gives the candidate that word was most likely meant to be, or "" when
// none is near. Case, and whether words are joined by "-", "_", a space or a
// capital, does not count; otherwise up to one slip in three letters is
// forgiven (three at most), where a slip is a letter too many, missing or
// wrong, or two neighbours swapped (the optimal string alignment distance of
// Damerau 1964). A beginning of three letters or more that fits one candidate
// alone counts as near too. Equal candidates: the first in alphabetical order.
func Nearest(word string, candidates []string) string {
	plain := fold(word)
	n := len([]rune(plain))
	if n == 0 {
		return ""
	}
	best, bestDistance := "", 1+min(3, max(1, n/3))
	begins, beginCount := "", 0
	for _, c := range candidates {
		f := fold(c)
		if f == plain {
			if best == "" || bestDistance > 0 || c < best {
				best, bestDistance = c, 0
			}
			continue
		}
		if n >= 3 && strings.HasPrefix(f, plain) {
			begins = c
			beginCount++
		}
		if n < 2 || n > longestWord || len(f) > 4*longestWord {
			continue
		}
		d := slips(plain, f, bestDistance)
		if d < bestDistance || (d == bestDistance && best != "" && c < best) {
			best, bestDistance = c, d
		}
	}
	if best == "" && beginCount == 1 {
		return begins
	}
	return best
}

// fold writes a word in small letters with single hyphens between its parts.
func fold(word string) string {
	var b strings.Builder
	lowerBefore := false
	for _, r := range strings.TrimSpace(word) {
		switch {
		case r == '_' || r == ' ' || r == '-' || r == '.':
			if b.Len() > 0 && !strings.HasSuffix(b.String(), "-") {
				b.WriteByte('-')
			}
			lowerBefore = false
			continue
		case unicode.IsUpper(r) && lowerBefore:
			b.WriteByte('-')
		}
		lowerBefore = unicode.IsLower(r)
		b.WriteRune(unicode.ToLower(r))
	}
	return strings.TrimSuffix(b.String(), "-")
}

// slips counts the slips of the keyboard between two words, giving up (with
// any number above limit) once there are more than limit.
func slips(a, b string, limit int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) > limit || len(y)-len(x) > limit {
		return limit + 1
	}
	before := make([]int, len(y)+1)
	last := make([]int, len(y)+1)
	here := make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		here[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			here[j] = min(last[j]+1, here[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				here[j] = min(here[j], before[j-2]+1)
			}
			least = min(least, here[j])
		}
		if least > limit {
			return limit + 1
		}
		before, last, here = last, here, before
	}
	return last[len(y)]
}
