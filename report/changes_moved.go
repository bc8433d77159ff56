package report

import (
	"math"
	"strings"
)

// form is how a figure and its move are written: of effects as per cent and
// percentage points, of values in their unit. by is the true move.
type form struct {
	by          float64
	write, move func(v float64, d int) string
}

// former makes the form of a figure in both editions.
type former func(c *comparison, old, now *PublishedFigure) form

// effectForm writes ratios. Where one is a per cent and the other a multiple,
// each stays as it was published.
func effectForm(c *comparison, old, now *PublishedFigure) form {
	by := now.Value - old.Value
	points := func(v float64, d int) string { return c.say.Say("changes.points", "n", c.num.signed(v, d)) }
	switch a, b := asMultiple(old.Value), asMultiple(now.Value); {
	case a && b:
		return form{by, func(v float64, d int) string { return c.num.plain(v, d) + nbsp + times },
			func(v float64, d int) string { return c.num.signed(v, d) + nbsp + times }}
	case a || b:
		return form{100 * by, nil, points}
	}
	return form{100 * by, func(v float64, d int) string { return c.num.signed(100*(v-1), max(0, d)) + nbsp + "%" }, points}
}

// centreForm writes what was reached in a unit, differenceForm a difference.
func centreForm(unit string) former {
	return func(c *comparison, old, now *PublishedFigure) form {
		return form{now.Value - old.Value, func(v float64, d int) string { return withUnit(c.num.plain(v, d), unit) },
			func(v float64, d int) string { return withUnit(c.num.signed(v, d), unit) }}
	}
}

func differenceForm(unit string) former {
	return func(c *comparison, old, now *PublishedFigure) form {
		signed := func(v float64, d int) string { return withUnit(c.num.signed(v, d), unit) }
		return form{now.Value - old.Value, signed, signed}
	}
}

// written gives a figure of both editions with one number of decimals, the finer
// of the two it was published with, or what it takes to tell them apart; and its
// move with two significant digits, at most one decimal finer. Else a figure that
// moved from 568.5 (published as 570) to 569.3 would seem to fall while it rises.
func (c *comparison) written(old, now *PublishedFigure, as former) (was, is, moved string) {
	f := as(c, old, now)
	was, is = old.Text, now.Text
	d := max(c.decimalsOf(was), c.decimalsOf(is))
	a, ok1 := c.publishedWith(f, old)
	b, ok2 := c.publishedWith(f, now)
	if ok1 && ok2 {
		d = max(a, b)
		for end := d + mostDigits; d < end && !same(old.Value, now.Value); d++ {
			if was, is = f.write(old.Value, d), f.write(now.Value, d); was != is {
				break
			}
		}
	}
	by := min(significant(f.by, 2), d+1)
	if roundsToNought(f.by, by) {
		by = significant(f.by, 1)
	}
	return was, is, f.move(f.by, by)
}

// publishedWith finds the decimals with which a figure was published; ok is false
// where it was not written in this form.
func (c *comparison) publishedWith(f form, x *PublishedFigure) (d int, ok bool) {
	if f.write == nil || math.IsNaN(x.Value) {
		return 0, false
	}
	for d = c.decimalsOf(x.Text); d >= -mostDigits; d-- {
		if f.write(x.Value, d) == x.Text {
			return d, true
		}
	}
	return 0, false
}

// decimalsOf counts the decimals of the number that a text begins with.
func (c *comparison) decimalsOf(text string) int {
	_, fraction, _ := strings.Cut(text, c.num.decimal)
	n := strings.IndexFunc(fraction, func(r rune) bool { return r < '0' || r > '9' })
	if n < 0 {
		n = len(fraction)
	}
	return n
}
