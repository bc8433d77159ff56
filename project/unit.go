package project

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Unit is a unit of measurement by its standard symbol. The zero value is the
// unit of a bare count. A value v in the unit is v×Factor+Offset in the
// coherent unit of its dimension (Offset is non-zero for temperatures only).
type Unit struct {
	// Symbol as printed: "s", "MB/s", "°C"; empty for a bare number.
	Symbol string
	// Dimension identifies what can be converted into what.
	Dimension Dimension
	Factor    float64
	Offset    float64
}

// Dimension is a product of powers of the base quantities, plus the name of a
// counted thing where two counts must not be mixed (frames, transfers, a
// project's own unit). Count is a product as well, in one spelling: names in
// alphabetical order joined by "·", with "^n" for a power other than one.
type Dimension struct {
	Length, Mass, Time, Current, Temperature, Information int8
	Count                                                 string
}

// factor is Factor, and 1 for the zero unit.
func (u Unit) factor() float64 {
	if u.Factor == 0 {
		return 1
	}
	return u.Factor
}

// sameScale tells whether a number in the one unit is the same in the other.
func (u Unit) sameScale(other Unit) bool {
	return u.factor() == other.factor() && u.Offset == other.Offset
}

// Convert takes v from unit u into unit to. It reports false, and returns v
// as it was, when the two have different dimensions.
//
// A temperature is converted as a point on its scale: 20 °C is 68 °F. For a
// difference of temperatures use ConvertDifference.
func (u Unit) Convert(v float64, to Unit) (float64, bool) {
	if u.Dimension != to.Dimension {
		return v, false
	}
	if u.Offset == to.Offset {
		return scale(v, u.factor(), to.factor()), true
	}
	return roundTo((v*u.factor()+u.Offset-to.Offset)/to.factor(), 12), true
}

// ConvertDifference takes a difference of two values from unit u into unit to:
// a rise of 20 °C is a rise of 20 K and of 36 °F. It reports false when the
// dimensions differ.
func (u Unit) ConvertDifference(v float64, to Unit) (float64, bool) {
	if u.Dimension != to.Dimension {
		return v, false
	}
	return scale(v, u.factor(), to.factor()), true
}

// scale computes v×from/to with one rounding where the ratio is a whole number
// or one over a whole number, so that 9 ms is the same float64 as 0.009 s.
func scale(v, from, to float64) float64 {
	if from == to {
		return v
	}
	if r := from / to; r >= 1 {
		if whole := math.Round(r); math.Abs(r-whole) <= 1e-12*r {
			return v * whole
		}
	} else if whole := math.Round(to / from); math.Abs(to/from-whole) <= 1e-12*whole {
		return v / whole
	}
	return v * from / to
}

// roundTo keeps the given number of significant decimal digits: the sums of
// temperature offsets leave noise in the last binary places.
func roundTo(v float64, digits int) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// raise gives the unit to a whole power; the offset of a temperature scale is
// left behind, because only differences can be multiplied.
func (u Unit) raise(power int) Unit {
	d := u.Dimension
	p := int8(power)
	return Unit{
		Dimension: Dimension{
			Length: d.Length * p, Mass: d.Mass * p, Time: d.Time * p, Current: d.Current * p,
			Temperature: d.Temperature * p, Information: d.Information * p,
			Count: multiplyCounts("", d.Count, power),
		},
		Factor: math.Pow(u.factor(), float64(power)),
	}
}

// multiply gives the unit of a product, without a symbol.
func (u Unit) multiply(v Unit, power int) Unit {
	w := v.raise(power)
	d, e := u.Dimension, w.Dimension
	return Unit{
		Dimension: Dimension{
			Length: d.Length + e.Length, Mass: d.Mass + e.Mass, Time: d.Time + e.Time, Current: d.Current + e.Current,
			Temperature: d.Temperature + e.Temperature, Information: d.Information + e.Information,
			Count: multiplyCounts(d.Count, e.Count, 1),
		},
		Factor: u.factor() * w.factor(),
	}
}

// multiplyCounts gives the count of a·bᵖ in its one spelling.
func multiplyCounts(a, b string, power int) string {
	if b == "" {
		return a
	}
	powers := map[string]int{}
	var names []string
	add := func(text string, times int) {
		for part := range strings.SplitSeq(text, "·") {
			if part == "" {
				continue
			}
			name, n := part, 1
			if i := strings.LastIndexByte(part, '^'); i > 0 {
				if k, err := strconv.Atoi(part[i+1:]); err == nil {
					name, n = part[:i], k
				}
			}
			if _, known := powers[name]; !known {
				names = append(names, name)
			}
			powers[name] += n * times
		}
	}
	add(a, 1)
	add(b, power)
	slices.Sort(names)
	var parts []string
	for _, name := range names {
		switch n := powers[name]; n {
		case 0:
		case 1:
			parts = append(parts, name)
		default:
			parts = append(parts, name+"^"+strconv.Itoa(n))
		}
	}
	return strings.Join(parts, "·")
}

// sameBase reports whether two dimensions agree in all but what is counted.
func (d Dimension) sameBase(e Dimension) bool {
	d.Count, e.Count = "", ""
	return d == e
}

// String names the dimension in coherent units, for messages: "kg·m²/s³",
// "frame/s", "a bare number".
func (d Dimension) String() string {
	var over, under []string
	put := func(name string, n int) {
		switch {
		case n > 0:
			over = append(over, name+superscript(n))
		case n < 0:
			under = append(under, name+superscript(-n))
		}
	}
	for part := range strings.SplitSeq(d.Count, "·") {
		name, power, has := strings.Cut(part, "^")
		n := 1
		if has {
			n, _ = strconv.Atoi(power)
		}
		if name != "" {
			put(name, n)
		}
	}
	put("kg", int(d.Mass))
	put("m", int(d.Length))
	put("A", int(d.Current))
	put("K", int(d.Temperature))
	put("bit", int(d.Information))
	put("s", int(d.Time))
	top := strings.Join(over, "·")
	switch {
	case top == "" && len(under) == 0:
		return "a bare number"
	case top == "":
		top = "1"
	}
	if len(under) > 0 {
		top += "/" + strings.Join(under, "/")
	}
	return top
}

func superscript(n int) string {
	if n == 1 {
		return ""
	}
	digits := []rune("⁰¹²³⁴⁵⁶⁷⁸⁹")
	var b strings.Builder
	for _, r := range strconv.Itoa(n) {
		b.WriteRune(digits[r-'0'])
	}
	return b.String()
}
