package project

import (
	"maps"
	"slices"
	"strings"
	"sync"

	"benchwright/schema"
)

// The standard unit names.
//
// SI units, their prefixes and the units accepted with them (min, h, d, L) are
// from the SI Brochure, 9th edition (BIPM 2019), tables 2, 4, 7 and 8. The
// bit, the byte and the binary prefixes (Ki, Mi, Gi …) are from
// IEC 80000-13:2008. The factor of °F is from NIST SP 811 (2008), appendix B.
// The counted things (frames, transfers, jobs) and "fps", "IOPS", "rpm" are
// common practice, no source. SI counts things as bare numbers; here they are
// kept apart, so that transfers are not taken for clock cycles.

// prefixes that a unit takes in practice.
const (
	small  = 1 << iota // p n µ m
	centi              // c
	large              // k M G T P
	binary             // Ki Mi Gi Ti Pi
)

// kind is one row of the table: a unit, its other spellings and its prefixes.
type kind struct {
	symbol   string
	others   []string
	takes    int
	factor   float64
	offset   float64
	quantity Dimension
}

// perSecond is the dimension of a counted thing per second.
func perSecond(count string) Dimension { return Dimension{Time: -1, Count: count} }

// counted gives the row of a thing that is counted, in singular and plural.
func counted(one string, takes int) kind {
	return kind{symbol: one, others: []string{one + "s"}, takes: takes, factor: 1, quantity: Dimension{Count: one}}
}

func kinds() []kind {
	energy := Dimension{Mass: 1, Length: 2, Time: -2}
	power := Dimension{Mass: 1, Length: 2, Time: -3}
	volt := Dimension{Mass: 1, Length: 2, Time: -3, Current: -1}
	list := []kind{
		{symbol: "s", takes: small, factor: 1, quantity: Dimension{Time: 1}},
		{symbol: "min", factor: 60, quantity: Dimension{Time: 1}},
		{symbol: "h", factor: 3600, quantity: Dimension{Time: 1}},
		{symbol: "d", factor: 86400, quantity: Dimension{Time: 1}},

		{symbol: "bit", others: []string{"bits"}, takes: large | binary, factor: 1, quantity: Dimension{Information: 1}},
		{symbol: "B", takes: large | binary, factor: 8, quantity: Dimension{Information: 1}},

		{symbol: "Hz", takes: large, factor: 1, quantity: Dimension{Time: -1}},
		{symbol: "W", takes: small | large, factor: 1, quantity: power},
		{symbol: "J", takes: small | large, factor: 1, quantity: energy},
		{symbol: "Wh", takes: small | large, factor: 3600, quantity: energy},
		{symbol: "V", takes: small | large, factor: 1, quantity: volt},
		{symbol: "A", takes: small | large, factor: 1, quantity: Dimension{Current: 1}},
		{symbol: "Ah", takes: small, factor: 3600, quantity: Dimension{Current: 1, Time: 1}},
		{symbol: "Ω", others: []string{"ohm"}, takes: small | large, factor: 1, quantity: Dimension{Mass: 1, Length: 2, Time: -3, Current: -2}},
		{symbol: "N", takes: small | large, factor: 1, quantity: Dimension{Mass: 1, Length: 1, Time: -2}},
		{symbol: "Pa", takes: small | large, factor: 1, quantity: Dimension{Mass: 1, Length: -1, Time: -2}},

		{symbol: "K", takes: small, factor: 1, quantity: Dimension{Temperature: 1}},
		{symbol: "°C", others: []string{"℃"}, factor: 1, offset: 273.15, quantity: Dimension{Temperature: 1}},
		{symbol: "°F", others: []string{"℉"}, factor: 5.0 / 9, offset: 459.67 * 5 / 9, quantity: Dimension{Temperature: 1}},

		{symbol: "m", takes: small | centi | large, factor: 1, quantity: Dimension{Length: 1}},
		{symbol: "g", takes: small | large, factor: 1e-3, quantity: Dimension{Mass: 1}},
		{symbol: "L", others: []string{"l"}, takes: small | centi, factor: 1e-3, quantity: Dimension{Length: 3}},

		{symbol: "dB", factor: 1, quantity: Dimension{Count: "decibel"}},
		{symbol: "dB(A)", factor: 1, quantity: Dimension{Count: "A-weighted decibel"}},

		{symbol: "%", factor: 1e-2},
		{symbol: "‰", factor: 1e-3},
		{symbol: "ppm", factor: 1e-6},
		{symbol: "count", others: []string{"counts"}, factor: 1},
		{symbol: "1", factor: 1},

		{symbol: "fps", factor: 1, quantity: perSecond("frame")},
		{symbol: "IOPS", takes: large, factor: 1, quantity: perSecond("op")},
		{symbol: "FLOPS", takes: large, factor: 1, quantity: perSecond("flop")},
		{symbol: "T", takes: large, factor: 1, quantity: Dimension{Count: "transfer"}},
		{symbol: "rpm", factor: 1.0 / 60, quantity: perSecond("revolution")},
		{symbol: "px", takes: large, factor: 1, quantity: Dimension{Count: "pixel"}},
	}
	for _, one := range []string{"op", "transfer", "pixel", "token"} {
		list = append(list, counted(one, large))
	}
	for _, one := range []string{
		"frame", "tick", "cycle", "job", "request", "query", "transaction", "packet", "message", "event",
		"file", "image", "page", "point", "node", "step", "sample", "run", "error", "core", "thread",
		"channel", "revolution",
	} {
		k := counted(one, 0)
		if one == "query" {
			k.others = []string{"queries"}
		}
		list = append(list, k)
	}
	return list
}

type prefix struct {
	symbol string
	class  int
	factor float64
}

func prefixes() []prefix {
	return []prefix{
		{"p", small, 1e-12}, {"n", small, 1e-9}, {"µ", small, 1e-6}, {"u", small, 1e-6}, {"m", small, 1e-3},
		{"c", centi, 1e-2},
		{"k", large, 1e3}, {"M", large, 1e6}, {"G", large, 1e9}, {"T", large, 1e12}, {"P", large, 1e15},
		{"Ki", binary, 1 << 10}, {"Mi", binary, 1 << 20}, {"Gi", binary, 1 << 30}, {"Ti", binary, 1 << 40}, {"Pi", binary, 1 << 50},
	}
}

// Units are the unit names that a project may use: the standard ones and those
// it declares. The value never changes once a project is loaded.
type Units struct {
	known map[string]Unit
	names []string // sorted: what a misspelt name is compared with
}

// StandardUnits gives the standard unit names alone.
func StandardUnits() *Units {
	u := &Units{known: map[string]Unit{}}
	// A unit's own symbol wins over a prefix and another unit ("min" is a
	// minute, "T" a transfer): symbols first.
	all := kinds()
	for _, k := range all {
		base := Unit{Symbol: k.symbol, Dimension: k.quantity, Factor: k.factor, Offset: k.offset}
		u.known[k.symbol] = base
		for _, other := range k.others {
			if k.quantity.Count != "" {
				base.Symbol = other // "frames" is printed as it was written
			}
			u.known[other] = base
		}
	}
	for _, k := range all {
		for _, p := range prefixes() {
			if k.takes&p.class == 0 {
				continue
			}
			for _, symbol := range append([]string{k.symbol}, k.others...) {
				name := p.symbol + symbol
				if _, taken := u.known[name]; taken {
					continue
				}
				printed := strings.Replace(p.symbol, "u", "µ", 1) + k.symbol
				if k.quantity.Count != "" {
					printed = name
				}
				u.known[name] = Unit{Symbol: printed, Dimension: k.quantity, Factor: scale(k.factor, p.factor, 1)}
			}
		}
	}
	for name := range u.known {
		u.names = append(u.names, name)
	}
	// Quotients that people misspell often enough to be worth proposing.
	u.names = append(u.names, "kB/s", "MB/s", "GB/s", "KiB/s", "MiB/s", "GiB/s", "kbit/s", "Mbit/s", "Gbit/s", "MT/s", "GT/s", "frames/s", "jobs/h")
	slices.Sort(u.names)
	return u
}

// Parse finds the unit of a symbol: a name ("ms"), a power ("m²"), a product
// ("N·m") or a quotient of such parts ("GB/s", "J/job", "m/s²"). The empty
// symbol is the unit of a bare number. It reports false for a name that is
// neither standard nor declared.
func (u *Units) Parse(symbol string) (Unit, bool) {
	symbol = tidySymbol(symbol)
	if symbol == "" {
		return Unit{Factor: 1}, true
	}
	if unit, ok := u.known[symbol]; ok {
		return unit, true
	}
	result := Unit{Factor: 1}
	parts := 0
	for i, quotient := range strings.Split(symbol, "/") {
		for part := range strings.SplitSeq(quotient, "·") {
			if parts++; parts > 8 {
				return Unit{}, false
			}
			name, power := part, 1
			if cut, ok := strings.CutSuffix(part, "²"); ok {
				name, power = cut, 2
			} else if cut, ok := strings.CutSuffix(part, "³"); ok {
				name, power = cut, 3
			}
			unit, ok := u.known[strings.TrimSpace(name)]
			if !ok {
				return Unit{}, false
			}
			if i > 0 {
				power = -power
			}
			result = result.multiply(unit, power)
		}
	}
	result.Symbol = symbol
	return result, true
}

// tidySymbol brings look-alike characters into one spelling.
func tidySymbol(symbol string) string {
	return lookAlikes.Replace(strings.TrimSpace(symbol))
}

var lookAlikes = strings.NewReplacer("μ", "µ", "\u2126", "Ω", "℃", "°C", "℉", "°F", "*", "·", "⋅", "·", "^2", "²", "^3", "³")

var standard = sync.OnceValue(StandardUnits)

// ParseUnit finds a standard unit by its symbol; see Units.Parse.
func ParseUnit(symbol string) (Unit, bool) { return standard().Parse(symbol) }

// everyday spellings that are not symbols, and the symbols they stand for.
var everyday = map[string]string{
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "msec": "ms", "milliseconds": "ms", "usec": "µs", "nsec": "ns",
	"minute": "min", "minutes": "min", "mins": "min", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d",
	"byte": "B", "bytes": "B", "kb": "kB", "mb": "MB", "gb": "GB", "tb": "TB",
	"kbps": "kbit/s", "mbps": "Mbit/s", "gbps": "Gbit/s", "kb/s": "kB/s", "mb/s": "MB/s", "gb/s": "GB/s",
	"c": "°C", "degc": "°C", "celsius": "°C", "f": "°F", "degf": "°F", "fahrenheit": "°F", "kelvin": "K", "°k": "K",
	"watt": "W", "watts": "W", "joule": "J", "joules": "J", "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ohms": "Ω",
	"hertz": "Hz", "dba": "dB(A)", "decibel": "dB", "percent": "%", "pct": "%", "frames per second": "fps", "1/min": "rpm",
	"mhz": "MHz", "ghz": "GHz", "khz": "kHz",
}

var spelledPrefixes = map[string]string{"nano": "n", "micro": "µ", "milli": "m", "kilo": "k", "mega": "M", "giga": "G", "tera": "T"}

// Nearest proposes the unit that a name which Parse does not know was meant to
// be, or "".
func (u *Units) Nearest(symbol string) string {
	symbol = tidySymbol(symbol)
	one := func(name string) string {
		if _, ok := u.known[name]; ok {
			return name
		}
		// Bits and bytes per second differ by their capital alone, and by a
		// factor of eight; in capitals throughout nothing tells them apart.
		if bytes, ok := strings.CutSuffix(name, "ps"); ok && strings.HasSuffix(bytes, "B") {
			for _, known := range u.names {
				if strings.EqualFold(known, bytes) && strings.HasSuffix(known, "B") {
					return known + "/s"
				}
			}
		}
		if s := everyday[strings.ToLower(name)]; s != "" {
			return s
		}
		for word, symbol := range spelledPrefixes {
			if rest, ok := strings.CutPrefix(strings.ToLower(name), word); ok && everyday[rest] != "" {
				if s := symbol + everyday[rest]; u.known[s].Factor != 0 {
					return s
				}
			}
		}
		for _, known := range u.names {
			if strings.EqualFold(known, name) {
				return known
			}
		}
		return ""
	}
	if strings.HasSuffix(symbol, "BPS") {
		return ""
	}
	if s := one(symbol); s != "" {
		return s
	}
	parts := strings.Split(symbol, "/")
	for i, part := range parts {
		better := one(part)
		if better == "" {
			return schema.Nearest(symbol, u.names)
		}
		parts[i] = better
	}
	return strings.Join(parts, "/")
}

// unknownPart gives the part of a symbol that is not known.
func (u *Units) unknownPart(symbol string) string {
	for part := range strings.FieldsFuncSeq(tidySymbol(symbol), func(r rune) bool { return r == '/' || r == '·' }) {
		if _, ok := u.Parse(part); !ok {
			return part
		}
	}
	return symbol
}

// add takes in a unit that the project declares.
func (u *Units) add(name string, unit Unit) {
	u.known[name] = unit
	u.names = append(u.names, name)
	slices.Sort(u.names)
}

// copy gives units that can be added to without touching the standard ones.
func (u *Units) copy() *Units {
	return &Units{known: maps.Clone(u.known), names: slices.Clone(u.names)}
}
