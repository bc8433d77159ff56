package stats

import (
	"math"
	"math/big"
	"math/bits"
)

// exactSum adds integers of up to 128 bits, each shifted to its place on one
// long fixed-point grid, without any rounding, so that the total cannot depend
// on the order of the terms. The grid is cut into chunks of 32 bits that are
// held in 64, which leaves room for 2³⁰ additions before carries must be
// passed on. Only the chunks in use are stored. After R. M. Neal, "Fast exact
// summation using small and large superaccumulators", arXiv:1505.05571 (2015).
type exactSum struct {
	first  int // place of chunks[0] on the grid, in units of 32 bits
	chunks []int64
	adds   int
}

const (
	chunkMask   = 1<<32 - 1
	carryPeriod = 1 << 30
	// sumUnit and squareUnit are the powers of two of bit 0 of the grids that
	// hold sums and sums of squares: 2^-1074 is the smallest double.
	sumUnit    = -1074
	squareUnit = 2 * sumUnit
)

// decompose gives |x| = mantissa · 2^(place + sumUnit) with place ≥ 0.
func decompose(x float64) (mantissa uint64, place int, negative, ok bool) {
	b := math.Float64bits(x)
	e := int(b>>52) & 0x7ff
	m := b & (1<<52 - 1)
	if e == 0x7ff {
		return 0, 0, false, false
	}
	if e != 0 {
		m |= 1 << 52
		e--
	}
	return m, e, b>>63 == 1, true
}

// at returns n chunks from place i, adding chunks where there are none yet.
func (s *exactSum) at(i, n int) []int64 {
	k := i - s.first
	if k < 0 || k+n > len(s.chunks) {
		s.grow(i, n)
		k = i - s.first
	}
	return s.chunks[k : k+n : k+n]
}

func (s *exactSum) grow(i, n int) {
	if len(s.chunks) == 0 {
		if c := cap(s.chunks); c >= n {
			// The caller has made room: some below and the rest above, as
			// readings of one thing are of one size.
			s.first, s.chunks = max(0, i-(c-n)/2), s.chunks[:c]
			clear(s.chunks)
			return
		}
		s.first = i
		s.chunks = make([]int64, n, n+4)
		return
	}
	low, high := min(s.first, i), max(s.first+len(s.chunks), i+n)
	wider := make([]int64, high-low)
	copy(wider[s.first-low:], s.chunks)
	s.first, s.chunks = low, wider
}

// add adds ±m·2^place for m below 2^53.
func (s *exactSum) add(m uint64, place int, negative bool) {
	shift := uint(place) & 31
	lo := m << shift
	hi := m >> (64 - shift)
	c := s.at(place>>5, 3)
	if negative {
		c[0] -= int64(lo & chunkMask)
		c[1] -= int64(lo >> 32)
		c[2] -= int64(hi)
	} else {
		c[0] += int64(lo & chunkMask)
		c[1] += int64(lo >> 32)
		c[2] += int64(hi)
	}
	s.count(1)
}

// addSquare adds (m·2^place)² on a grid of squares, for m below 2^53.
func (s *exactSum) addSquare(m uint64, place int) {
	hi, lo := bits.Mul64(m, m)
	place *= 2
	shift := uint(place) & 31
	w0 := lo << shift
	w1 := hi<<shift | lo>>(64-shift)
	w2 := hi >> (64 - shift)
	c := s.at(place>>5, 5)
	c[0] += int64(w0 & chunkMask)
	c[1] += int64(w0 >> 32)
	c[2] += int64(w1 & chunkMask)
	c[3] += int64(w1 >> 32)
	c[4] += int64(w2)
	s.count(1)
}

func (s *exactSum) count(n int) {
	s.adds += n
	if s.adds >= carryPeriod {
		s.carry()
	}
}

// carry passes on what exceeds 32 bits. Afterwards all chunks but the last lie
// in [0, 2^32); the last holds the sign.
func (s *exactSum) carry() {
	for i := 0; i < len(s.chunks); i++ {
		c := s.chunks[i] >> 32
		if c == 0 || (c == -1 && i == len(s.chunks)-1) {
			continue
		}
		s.chunks[i] -= c << 32
		if i == len(s.chunks)-1 {
			s.chunks = append(s.chunks, 0)
		}
		s.chunks[i+1] += c
	}
	s.adds = 1
}

// merge adds another sum on the same grid.
func (s *exactSum) merge(o *exactSum) {
	if len(o.chunks) == 0 {
		return
	}
	c := s.at(o.first, len(o.chunks))
	for i, v := range o.chunks {
		c[i] += v
	}
	s.count(o.adds)
}

// digits gives the total as sign and base-2^32 digits, least significant first,
// in buf if it is large enough.
func (s *exactSum) digits(buf []uint32) (negative bool, d []uint32) {
	d = buf[:0]
	var c int64
	for _, v := range s.chunks {
		c += v
		d = append(d, uint32(c&chunkMask))
		c >>= 32
	}
	d = append(d, uint32(c&chunkMask), uint32((c>>32)&chunkMask))
	if c >= 0 {
		return false, d
	}
	carry := uint64(1)
	for i, v := range d {
		carry += uint64(^v)
		d[i] = uint32(carry)
		carry >>= 32
	}
	return true, d
}

// top gives the total as ±(m + rest)·2^exponent with m in [2^63, 2^64) or 0,
// rest = lower/2^64 in [0, 1), and whether nonzero bits lie still lower.
func (s *exactSum) top(unit int) (negative bool, m, lower uint64, sticky bool, exponent int) {
	var buf [80]uint32
	negative, d := s.digits(buf[:])
	k := len(d) - 1
	for k >= 0 && d[k] == 0 {
		k--
	}
	if k < 0 {
		return false, 0, 0, false, 0
	}
	digit := func(i int) uint64 {
		if i < 0 {
			return 0
		}
		return uint64(d[i])
	}
	shift := uint(bits.LeadingZeros32(d[k]))
	w0 := digit(k)<<32 | digit(k-1)
	w1 := digit(k-2)<<32 | digit(k-3)
	w2 := digit(k - 4)
	m = w0<<shift | w1>>(64-shift)
	lower = w1<<shift | w2>>(32-shift)
	sticky = uint32(w2<<shift) != 0
	for i := k - 5; i >= 0 && !sticky; i-- {
		sticky = d[i] != 0
	}
	exponent = 32*(s.first+k-1) - int(shift) + unit
	return negative, m, lower, sticky, exponent
}

// rounded is the total, rounded once to the nearest double (ties to even).
// It may be infinite.
func (s *exactSum) rounded(unit int) float64 {
	negative, m, lower, sticky, exponent := s.top(unit)
	if lower != 0 || sticky {
		m |= 1 // 11 bits are dropped below, so the last one can stand for all
	}
	v := math.Ldexp(float64(m), exponent)
	if negative {
		return -v
	}
	return v
}

// dividedBy is the total over n, with one rounding for all practical purposes
// (the quotient is corrected from about 106 bits of the total), so that the
// mean of n equal numbers is that number.
func (s *exactSum) dividedBy(n int, unit int) float64 {
	negative, m, lower, _, exponent := s.top(unit)
	if m == 0 {
		return 0
	}
	half := m >> 1 // below 2^63, so that its rounding fits an integer
	hi := float64(half)
	lo := float64(int64(half-uint64(hi))) + float64(m&1)/2 + math.Ldexp(float64(lower), -65)
	d := float64(n)
	q := hi / d
	r := math.FMA(-q, d, hi) + lo
	v := math.Ldexp(q+r/d, exponent+1)
	if negative {
		return -v
	}
	return v
}

// quotient gives (n·q − s²)/(n·(n−1)) as f·2^e in units of the grid of
// squares, rounded once, where q is the sum of n squares and s that of what was
// squared, not all equal. It is for sums that span few digits, as those of
// readings do; ok is false for others.
func quotient(n int, q, s *exactSum) (f float64, e int, ok bool) {
	const most = 24 // digits of 32 bits
	if uint64(n) >= 1<<32 || len(q.chunks)+2 > most-4 || 2*(len(s.chunks)+2) > most-4 {
		return 0, 0, false
	}
	var qBuffer, sBuffer [most]uint32
	_, qd := q.digits(qBuffer[:])
	_, sd := s.digits(sBuffer[:]) // its sign is lost in the square
	low := min(q.first, 2*s.first)
	if q.first-low+len(qd) > most-4 || 2*s.first-low+2*len(sd) > most-4 {
		return 0, 0, false
	}
	// The lowest four digits are left for those behind the point.
	var v, square [most]uint32
	carry := uint64(0)
	for i, d := range qd {
		carry += uint64(d) * uint64(n)
		v[4+q.first-low+i] = uint32(carry)
		carry >>= 32
	}
	v[4+q.first-low+len(qd)] = uint32(carry)
	for i, d := range sd {
		if d == 0 {
			continue
		}
		at, carry := 4+2*s.first-low+i, uint64(0)
		for j, c := range sd {
			carry += uint64(d)*uint64(c) + uint64(square[at+j])
			square[at+j] = uint32(carry)
			carry >>= 32
		}
		square[at+len(sd)] = uint32(carry)
	}
	borrow := uint64(0)
	for i := range v {
		x := uint64(v[i]) - uint64(square[i]) - borrow
		v[i], borrow = uint32(x), x>>63
	}
	if borrow != 0 {
		return 0, 0, false // n·q is never below s²
	}
	var words [most / 2]uint64 // the quotient, the highest first
	divisor, rest := uint64(n)*uint64(n-1), uint64(0)
	for i := range words {
		k := most - 2 - 2*i
		words[i], rest = bits.Div64(rest, uint64(v[k+1])<<32|uint64(v[k]), divisor)
	}
	k := 0
	for k < len(words) && words[k] == 0 {
		k++
	}
	if k > len(words)-2 {
		return 0, 0, false // less than a word behind the point
	}
	shift := uint(bits.LeadingZeros64(words[k]))
	m, sticky := words[k]<<shift|words[k+1]>>(64-shift), words[k+1]<<shift != 0 || rest != 0
	for _, w := range words[k+2:] {
		sticky = sticky || w != 0
	}
	if sticky {
		m |= 1 // as in rounded
	}
	return math.Ldexp(float64(m), -64), 32*(low-4) + 64*(len(words)-k) - int(shift), true
}

// integer is the total in units of the grid.
func (s *exactSum) integer() *big.Int {
	var buf [160]uint32
	negative, d := s.digits(buf[:])
	z := new(big.Int)
	if bits.UintSize == 64 {
		words := make([]big.Word, (len(d)+1)/2)
		for i, v := range d {
			words[i/2] |= big.Word(v) << (32 * uint(i%2))
		}
		z.SetBits(words)
	} else {
		words := make([]big.Word, len(d))
		for i, v := range d {
			words[i] = big.Word(v)
		}
		z.SetBits(words)
	}
	if len(s.chunks) > 0 {
		z.Lsh(z, uint(32*s.first))
	}
	if negative {
		z.Neg(z)
	}
	return z
}
