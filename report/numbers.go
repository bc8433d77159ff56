package report

import (
	"math"
	"strconv"
	"strings"

	"benchwright/words"
)

const (
	nbsp     = "\u00a0" // no-break space, before units and %
	narrow   = "\u202f" // narrow no-break space, between groups of three digits
	minus    = "\u2212"
	times    = "\u00d7"
	mostSeen = 12 // significant digits beyond which a double says little of a bench
)

// numbers is the one place that writes measured numbers for people. How many
// digits a number gets is decided by its spread: decimals turns the half-width
// of an interval into a number of decimals, and every number of one figure
// (value, low, high) is written with those.
type numbers struct {
	decimal string
}

func newNumbers(b *words.Book) numbers { return numbers{decimal: b.Decimal} }

// decimals is how many decimals a value may show whose uncertainty is half:
// two significant digits of the uncertainty when it starts with 1, else one.
// Negative counts are tens, hundreds, … A half that is not positive and finite
// gives no guidance: ok is false.
func decimals(half float64) (d int, ok bool) {
	if !(half > 0) || math.IsInf(half, 0) {
		return 0, false
	}
	// strconv gives the two leading digits correctly rounded, which log10 would not.
	text := strconv.FormatFloat(half, 'e', 1, 64)
	mantissa, exponent, _ := strings.Cut(text, "e")
	e, _ := strconv.Atoi(exponent)
	if strings.HasPrefix(mantissa, "1") {
		return 1 - e, true
	}
	return -e, true
}

// stepDecimals is how many decimals an instrument's step leaves: 0 for 1 fps,
// 1 for 0.5 or 0.1 s, −1 for 10.
func stepDecimals(step float64) (d int, ok bool) {
	if !(step > 0) || math.IsInf(step, 0) {
		return 0, false
	}
	_, exponent, _ := strings.Cut(strconv.FormatFloat(step, 'e', 6, 64), "e")
	e, _ := strconv.Atoi(exponent)
	return -e, true
}

// stated is the decimals of a number that a person wrote down: as many as it
// has, and no more than six significant digits' worth, since a conversion of
// its unit may have brought more.
func stated(v float64) int {
	_, fraction, _ := strings.Cut(strconv.FormatFloat(v, 'f', -1, 64), ".")
	return min(len(fraction), significant(v, 6))
}

// significant is how many decimals show n significant digits of v.
func significant(v float64, n int) int {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	a := math.Abs(v)
	if a < 1e-300 || a > 1e300 { // beyond the reach of Pow10 below
		_, exponent, _ := strings.Cut(strconv.FormatFloat(a, 'e', n-1, 64), "e")
		e, _ := strconv.Atoi(exponent)
		return n - 1 - e
	}
	e := int(math.Floor(math.Log10(a)))
	if a >= math.Pow10(e+1) {
		e++
	} else if a < math.Pow10(e) {
		e--
	}
	if math.Round(a*math.Pow10(n-1-e)) >= math.Pow10(n) {
		e++ // 9.96 with two digits is 10
	}
	return n - 1 - e
}

// plain writes v with d decimals (negative d: rounded to tens, hundreds, …),
// U+2212 for a minus and groups of three from 10 000 on. Very large and very
// small numbers are written with a power of ten.
func (n numbers) plain(v float64, d int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–" // never computed; a dash is better than a wrong number
	}
	if d > 3 || math.Abs(v) >= 1e9 {
		d = min(d, significant(v, mostSeen))
	}
	if a := math.Abs(v); a >= 1e9 || a != 0 && a < 1e-4 && d > 5 || d > 9 {
		return n.scientific(v, d)
	}
	if d < 0 {
		step := math.Pow10(min(-d, 300)) // beyond, a double has no such power, and nothing is left of v anyway
		v, d = math.Round(v/step)*step, 0
	}
	var room [40]byte
	written := strconv.AppendFloat(room[:0], math.Abs(v), 'f', d, 64)
	if v >= 0 && n.decimal == "." && (v < 10_000-1) {
		return string(written) // the common case, without a detour
	}
	text := string(written)
	whole, fraction, _ := strings.Cut(text, ".")
	if len(whole) > 4 {
		whole = grouped(whole)
	}
	text = whole
	if fraction != "" {
		text += n.decimal + fraction
	}
	if v < 0 && strings.ContainsAny(text, "123456789") {
		text = minus + text
	}
	return text
}

func grouped(whole string) string {
	var b strings.Builder
	for i, c := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteString(narrow)
		}
		b.WriteRune(c)
	}
	return b.String()
}

// scientific writes 1.23 × 10⁹; d counts decimals of the plain number.
func (n numbers) scientific(v float64, d int) string {
	_, exponent, _ := strings.Cut(strconv.FormatFloat(math.Abs(v), 'e', -1, 64), "e")
	e, _ := strconv.Atoi(exponent)
	digits := max(0, min(d+e, mostSeen-1))
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(math.Abs(v), 'e', digits, 64), "e")
	e, _ = strconv.Atoi(exponent)
	sign := ""
	if v < 0 {
		sign = minus
	}
	raised := strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").
		Replace(strconv.Itoa(e))
	return sign + strings.Replace(mantissa, ".", n.decimal, 1) + nbsp + times + nbsp + "10" + raised
}

// signed is plain with a plus sign on what does not round to nought.
func (n numbers) signed(v float64, d int) string {
	text := n.plain(v, d)
	if v > 0 && strings.ContainsAny(text, "123456789") {
		return "+" + text
	}
	return text
}

// withUnit joins a written number and a unit.
func withUnit(text, unit string) string {
	if unit == "" {
		return text
	}
	return text + nbsp + unit
}

// asMultiple says that a ratio is so far from 1 that people say "twice"
// rather than "+100 %". A fall stays a percentage for longer: it cannot pass
// 100 %, and 0.4 of something is read as its loss, "−60 %".
func asMultiple(ratio float64) bool { return ratio >= 2 || ratio <= 0.1 }

// percentDecimals is the decimals of a percentage effect whose interval is low
// to high (as ratios), and never fewer than it takes to keep the end that lies
// nearest to "no difference" apart from nought when the interval excludes it.
func percentDecimals(low, high float64) (int, bool) {
	d, ok := decimals(100 * (high - low) / 2)
	if !ok {
		return 0, false
	}
	near := 0.0
	switch {
	case low > 1:
		near = 100 * (low - 1)
	case high < 1:
		near = 100 * (1 - high)
	default:
		return d, true
	}
	for i := 0; i < 2 && math.Round(near*math.Pow10(d)) == 0; i++ {
		d++
	}
	return d, true
}

// asPercentages writes the ratios of a column as percentages where some of them
// would be multiples and others not: "2.02 ×" below "+92 %" takes arithmetic to
// compare.
func (k *working) asPercentages(column []*Figure) {
	var multiples []*Figure
	others := false
	for _, f := range column {
		switch {
		case !f.HasValue():
		case asMultiple(f.Value):
			multiples = append(multiples, f)
		default:
			others = true
		}
	}
	if !others {
		return
	}
	for _, f := range multiples {
		d := int(f.decimals)
		f.Text = k.num.signed(100*(f.Value-1), max(0, d)) + nbsp + "%"
		if f.Confidence > 0 {
			f.Range = k.percentRange(f.Low, f.High, d)
		}
	}
}

// effect writes a ratio: as a signed percentage, or as a multiple where the
// ratio is 2 or more, or a tenth or less. d is the decimals of the percentage.
func (n numbers) effect(ratio float64, d int) string {
	if asMultiple(ratio) {
		return n.plain(ratio, multipleDecimals(ratio, d)) + nbsp + times
	}
	return n.signed(100*(ratio-1), max(0, d)) + nbsp + "%"
}

// multipleDecimals carries the decimals of a percentage over to the ratio
// itself, with three significant digits at most: a multiple is for reading.
func multipleDecimals(ratio float64, d int) int {
	return min(max(d+2, significant(ratio, 1)), significant(ratio, 3))
}

// effectRange writes an interval of ratios the way effect writes its value.
func (k *working) effectRange(ratio, low, high float64, d int) string {
	n := k.num
	if asMultiple(ratio) {
		m := multipleDecimals(ratio, d)
		return k.span(n.plain(low, m), n.plain(high, m)+nbsp+times)
	}
	return k.percentRange(low, high, d)
}

func (k *working) percentRange(low, high float64, d int) string {
	n := k.num
	d = apartFromNought(100*(low-1), 100*(high-1), max(0, d))
	return k.span(n.signed(100*(low-1), d), n.signed(100*(high-1), d)+nbsp+"%")
}

// apartFromNought gives an interval that lies on one side of nought one decimal
// more where that keeps both its ends there as written: "0.0 to +0.6 dB" would
// deny the difference that is claimed of it.
func apartFromNought(low, high float64, d int) int {
	if low <= 0 && high >= 0 {
		return d
	}
	near := min(math.Abs(low), math.Abs(high))
	if roundsToNought(near, d) && !roundsToNought(near, d+1) {
		return d + 1
	}
	return d
}

func roundsToNought(v float64, d int) bool { return math.Abs(v)*math.Pow10(d) < 0.5 }

// cutSpan cuts the phrase of a range at its gaps, low before high, once for the
// many ranges of a report.
func cutSpan(phrase string) [3]string {
	before, rest, _ := strings.Cut(phrase, "{low}")
	between, after, _ := strings.Cut(rest, "{high}")
	return [3]string{before, between, after}
}

// span writes a range: "14.5 to 14.9 fps".
func (k *working) span(low, high string) string {
	return k.spanParts[0] + low + k.spanParts[1] + high + k.spanParts[2]
}

// share writes 0.034 as "3.4 %".
func (n numbers) share(v float64, d int) string { return n.plain(100*v, d) + nbsp + "%" }

// probability writes a p-value: "p = 0.21", "p = 0.046", "p < 0.001".
func (n numbers) probability(p float64) string {
	switch {
	case p < 0.001:
		return "p" + nbsp + "<" + nbsp + n.plain(0.001, 3)
	case p < 0.1:
		return "p" + nbsp + "=" + nbsp + n.plain(p, 3)
	}
	return "p" + nbsp + "=" + nbsp + n.plain(p, 2)
}
