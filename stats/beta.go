package stats

import "math"

// Incomplete beta and gamma functions. The leading factors are computed by
// the saddle-point expansion of C. Loader, "Fast and accurate computation of
// binomial probabilities" (2000), which keeps full precision for large
// parameters where differences of log-gamma lose it.

const halfLogTwoPi = 0.918938533204672741780329736406

// stirlingError is log Γ(x+1) − (x+½)·log x + x − ½·log 2π for x > 0.
func stirlingError(x float64) float64 {
	if x < 16 {
		// Γ(x+1) = Γ(x+1+k)/((x+1)…(x+k)): climb to where the series holds.
		// log Γ(x+1) itself would do, but loses digits near its zeros.
		if x < 1e-3 {
			lg, _ := math.Lgamma(x + 1)
			return lg - (x+0.5)*math.Log(x) + x - halfLogTwoPi
		}
		product, y := 1.0, x
		for y < 16 {
			y++
			product *= y
		}
		return stirlingError(y) - math.Log(product) + y*math.Log(y) + 0.5*math.Log(y) - y -
			(x+0.5)*math.Log(x) + x
	}
	r := 1 / (x * x)
	return (1.0/12 - (1.0/360-(1.0/1260-(1.0/1680-(1.0/1188-691.0/360360*r)*r)*r)*r)*r) / x
}

// deviance is x·log(x/m) + m − x, without cancellation when x is near m.
func deviance(x, m float64) float64 {
	if x == 0 {
		return m
	}
	d := x - m
	if math.Abs(d) < 0.1*(x+m) {
		v := d / (x + m)
		s := d * v
		term := 2 * x * v
		v *= v
		for j := 1.0; j < 1000; j++ {
			term *= v
			next := s + term/(2*j+1)
			if next == s {
				break
			}
			s = next
		}
		return s
	}
	return x*math.Log(x/m) + m - x
}

// betaFactor is x^a·y^b/B(a, b) for y = 1−x.
func betaFactor(a, b, x, y float64) float64 {
	n := a + b
	lead := stirlingError(n) - stirlingError(a) - stirlingError(b) -
		deviance(a, n*x) - deviance(b, n*y)
	return math.Exp(lead) * math.Sqrt(a/n) * math.Sqrt(b) / math.Sqrt(2*math.Pi)
}

// betaInc is the regularised incomplete beta function I_x(a, b) for a, b > 0
// and x in [0, 1]; y must be 1−x, given apart so that neither loses digits.
func betaInc(a, b, x, y float64) float64 {
	if x <= 0 {
		return 0
	}
	if y <= 0 {
		return 1
	}
	if x > (a+1)/(a+b+2) {
		return 1 - betaTail(b, a, y, x)
	}
	return betaTail(a, b, x, y)
}

// betaTail evaluates the continued fraction of I_x(a, b), DLMF 8.17.22, by the
// modified Lentz method. It converges fast for x below (a+1)/(a+b+2).
func betaTail(a, b, x, y float64) float64 {
	const tiny = 1e-300
	f := betaFactor(a, b, x, y)
	if f == 0 {
		return 0
	}
	c := 1.0
	d := 1 - (a+b)*x/(a+1)
	if math.Abs(d) < tiny {
		d = tiny
	}
	d = 1 / d
	h := d
	for i := 1; i < 200000; i++ {
		m := float64(i)
		step := m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		d = 1 + step*d
		if math.Abs(d) < tiny {
			d = tiny
		}
		c = 1 + step/c
		if math.Abs(c) < tiny {
			c = tiny
		}
		d = 1 / d
		h *= d * c
		step = -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		d = 1 + step*d
		if math.Abs(d) < tiny {
			d = tiny
		}
		c = 1 + step/c
		if math.Abs(c) < tiny {
			c = tiny
		}
		d = 1 / d
		change := d * c
		h *= change
		if math.Abs(change-1) < 1e-16 {
			break
		}
	}
	return math.Max(0, math.Min(1, f*h/a))
}

// gammaFactor is x^a·e^−x/Γ(a).
func gammaFactor(a, x float64) float64 {
	return math.Exp(-stirlingError(a)-deviance(a, x)) * math.Sqrt(a/(2*math.Pi))
}

// gammaInc gives the regularised incomplete gamma functions P(a, x) and
// Q(a, x) = 1−P for a > 0, x ≥ 0: series DLMF 8.11.4 below the mean, continued
// fraction DLMF 8.9.2 above.
func gammaInc(a, x float64) (p, q float64) {
	if x <= 0 {
		return 0, 1
	}
	f := gammaFactor(a, x)
	if x < a+1 {
		term := 1 / a
		s := term
		for n := 1.0; n < 100000; n++ {
			term *= x / (a + n)
			s += term
			if term < s*1e-17 {
				break
			}
		}
		p = math.Min(1, f*s)
		return p, 1 - p
	}
	const tiny = 1e-300
	b := x + 1 - a
	c := 1 / tiny
	d := 1 / b
	h := d
	for n := 1.0; n < 100000; n++ {
		step := -n * (n - a)
		b += 2
		d = step*d + b
		if math.Abs(d) < tiny {
			d = tiny
		}
		c = b + step/c
		if math.Abs(c) < tiny {
			c = tiny
		}
		d = 1 / d
		change := d * c
		h *= change
		if math.Abs(change-1) < 1e-16 {
			break
		}
	}
	q = math.Min(1, f*h)
	return 1 - q, q
}
