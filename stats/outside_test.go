package stats

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// runR gives what an R script prints as numbers. R is Debian's r-base-core;
// where it is absent the test is skipped, unless BENCHWRIGHT_REQUIRE_OUTSIDE=1.
func runR(t *testing.T, script string) []float64 {
	t.Helper()
	program, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("BENCHWRIGHT_REQUIRE_OUTSIDE") == "1" {
			t.Fatal("R (Debian package r-base-core) is required but not installed")
		}
		t.Skip("R (Debian package r-base-core) is not installed: nothing to compare with")
	}
	cmd := exec.Command(program, "--vanilla", "-")
	cmd.Stdin = strings.NewReader("options(digits=17)\nout <- function(...) for (v in c(...)) cat(sprintf('%.17g\\n', v))\n" + script)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	b, err := cmd.Output()
	if err != nil {
		t.Fatalf("R: %v\n%s", err, stderr.String())
	}
	var v []float64
	for _, f := range strings.Fields(string(b)) {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil {
			t.Fatalf("R printed %q", f)
		}
		v = append(v, x)
	}
	return v
}

// vector writes numbers as an R vector, to the last bit.
func vector(x []float64) string {
	s := make([]string, len(x))
	for i, v := range x {
		s[i] = strconv.FormatFloat(v, 'g', 17, 64)
	}
	return "c(" + strings.Join(s, ",") + ")"
}

func words(x []string) string { return `c("` + strings.Join(x, `","`) + `")` }

// compare holds our figures against R's, in order.
type compare struct {
	what []string
	got  []float64
	tol  []float64
}

func (c *compare) add(what string, tol float64, got ...float64) {
	for _, g := range got {
		c.what, c.got, c.tol = append(c.what, what), append(c.got, g), append(c.tol, tol)
	}
}

func (c *compare) with(t *testing.T, r []float64) {
	t.Helper()
	if len(r) != len(c.got) {
		t.Fatalf("R gave %d numbers, want %d", len(r), len(c.got))
	}
	for i := range r {
		if d := math.Abs(c.got[i] - r[i]); !(d <= c.tol[i]*math.Abs(r[i])+1e-13) {
			t.Errorf("%s = %.17g, R has %.17g", c.what[i], c.got[i], r[i])
		}
	}
}

func seedFor(t *testing.T) *rand.Rand {
	s := uint64(20)
	if v := os.Getenv("BENCHWRIGHT_OUTSIDE_SEED"); v != "" {
		n, err := strconv.ParseUint(v, 10, 64)
		ok(t, err)
		s = n
	}
	return rand.New(rand.NewPCG(s, 1))
}

func TestOutsideTwoSamples(t *testing.T) {
	r := seedFor(t)
	var script strings.Builder
	var c compare
	for i := 0; i < 40; i++ {
		x, y := make([]float64, 2+r.IntN(7)), make([]float64, 2+r.IntN(7))
		sx, sy := math.Exp(2*r.NormFloat64()), math.Exp(2*r.NormFloat64())
		for j := range x {
			x[j] = 100*math.Exp(0.1*r.NormFloat64()) + sx*r.Float64()
		}
		for j := range y {
			y[j] = 90*math.Exp(0.1*r.NormFloat64()) + sy*r.Float64()
		}
		fmt.Fprintf(&script, "x <- %s; y <- %s\n", vector(x), vector(y))
		script.WriteString(`
w <- t.test(x, y); out(w$statistic, w$parameter, w$p.value, w$conf.int)
w <- t.test(x, y, var.equal=TRUE); out(w$statistic, w$parameter, w$p.value, w$conf.int)
w <- t.test(log(x), log(y)); out(exp(w$conf.int))
# Fieller, unequal spreads: roots of (my^2 - t^2 vy) r^2 - 2 mx my r + (mx^2 - t^2 vx)
vx <- var(x)/length(x); vy <- var(y)/length(y); mx <- mean(x); my <- mean(y); rho <- mx/my
df <- (vx + rho^2*vy)^2/(vx^2/(length(x)-1) + rho^4*vy^2/(length(y)-1))
q <- qt(.975, df); A <- my^2 - q^2*vy; B <- mx*my; C <- mx^2 - q^2*vx
out(rho, df, q^2*vy/my^2); if (A > 0) out((B - sqrt(B^2 - A*C))/A, (B + sqrt(B^2 - A*C))/A) else out(NaN)
out(oneway.test(v ~ g, data.frame(v=c(x, y), g=rep(c('x','y'), c(length(x), length(y)))))$p.value)
out(mad(x), quantile(x, .3), median(y))
`)
		d, err := Welch(x, y, 0.95)
		ok(t, err)
		c.add("Welch", 1e-9, d.T, d.DF, d.P, d.Interval.Low, d.Interval.High)
		p, err := Pooled(x, y, 0.95)
		ok(t, err)
		c.add("pooled", 1e-9, p.T, p.DF, p.P, p.Interval.Low, p.Interval.High)
		l, err := LogRatioWelch(x, y, 0.95)
		ok(t, err)
		c.add("log ratio", 1e-9, l.Interval.Low, l.Interval.High)
		f, err := FiellerWelch(x, y, 0.95)
		c.add("Fieller", 1e-9, f.Ratio, f.DF, f.G)
		if err == nil {
			c.add("Fieller set", 1e-7, f.Interval.Low, f.Interval.High)
		} else {
			c.add("unbounded", 0, math.NaN())
		}
		a, b, err := meanEstimates(x, y)
		ok(t, err)
		h, err := SameEffect([]Estimate{a, b})
		ok(t, err)
		c.add("Welch's test of equal means", 1e-8, h.P)
		mad, err := MAD(x)
		ok(t, err)
		q, err := Quantile(x, 0.3)
		ok(t, err)
		m, err := Median(y)
		ok(t, err)
		c.add("mad", 1e-9, mad) // R's mad uses 1.4826, below
		c.got[len(c.got)-1] *= 1.4826 / 1.482602218505602
		c.add("quantile", 1e-13, q, m)
	}
	r2 := runR(t, script.String())
	// NaN marks an unbounded set on both sides.
	for i := range r2 {
		if i < len(c.got) && math.IsNaN(r2[i]) && math.IsNaN(c.got[i]) {
			r2[i], c.got[i] = 0, 0
		}
	}
	c.with(t, r2)
}

func TestOutsideDistributions(t *testing.T) {
	r := seedFor(t)
	var script strings.Builder
	var c compare
	for i := 0; i < 60; i++ {
		p := r.Float64()
		if i%3 == 0 {
			p = 1 - math.Pow(10, -1-4*r.Float64())
		}
		df, df2 := math.Exp(-0.5+9*r.Float64()), math.Exp(0.3+6*r.Float64())
		k := 2 + r.IntN(11)
		q := 0.5 + 6*r.Float64()
		rangeDF := 2 + math.Floor(60*r.Float64())
		fmt.Fprintf(&script, "p <- %.17g; df <- %.17g; d2 <- %.17g; k <- %d; q <- %.17g; rdf <- %.17g\n", p, df, df2, k, q, rangeDF)
		script.WriteString(`out(qt(p, df), qf(p, df, d2), qchisq(p, df), qnorm(p))
out(pt(-q, df), pf(q, df, d2, lower.tail=FALSE), pchisq(q*df, df, lower.tail=FALSE))
out(ptukey(q, k, rdf), qtukey(.95, k, rdf))
`)
		a, err := StudentQuantile(p, df)
		ok(t, err)
		b, err := FQuantile(p, df, df2)
		ok(t, err)
		x, err := ChiSquareQuantile(p, df)
		ok(t, err)
		z, err := NormalQuantile(p)
		ok(t, err)
		c.add(fmt.Sprint("qt, qf, qchisq, qnorm at ", p, df, df2), 1e-9, a, b, x, z)
		pa, err := StudentCDF(-q, df)
		ok(t, err)
		pb, err := FUpper(q, df, df2)
		ok(t, err)
		px, err := ChiSquareUpper(q*df, df)
		ok(t, err)
		c.add("pt, pf, pchisq", 1e-9, pa, pb, px)
		tp, err := StudentizedRangeCDF(q, k, rangeDF)
		ok(t, err)
		tq, err := StudentizedRangeQuantile(0.95, k, rangeDF)
		ok(t, err)
		// Against double integrals by other rules ptukey was seen to be off by up to
		// 3e-6 with few degrees of freedom, where this package was not.
		c.add(fmt.Sprint("ptukey of ", q, k, rangeDF), 1e-5, tp)
		c.add(fmt.Sprint("qtukey of ", k, rangeDF), 1e-4, tq)
	}
	c.with(t, runR(t, script.String()))
}

// Unbalanced designs, numeric and categorical factors, with an interaction and
// with columns that R drops.
func TestOutsideLinearModel(t *testing.T) {
	r := seedFor(t)
	var script strings.Builder
	var c compare
	for i := 0; i < 15; i++ {
		n := 25 + r.IntN(40)
		a, b, u, s := make([]string, n), make([]string, n), make([]string, n), make([]string, n)
		x, y := make([]float64, n), make([]float64, n)
		for j := range y {
			k := r.IntN(3)
			a[j], b[j], s[j] = fmt.Sprint("a", k), fmt.Sprint("b", min(r.IntN(5), r.IntN(5))), fmt.Sprint("s", k/2)
			u[j] = fmt.Sprint("u", r.IntN(2))
			x[j] = 200 + math.Round(300*r.Float64())
			y[j] = 3 + float64(k) + x[j]/100 + r.NormFloat64()
		}
		fmt.Fprintf(&script, "a <- factor(%s); b <- factor(%s); s <- factor(%s); u <- factor(%s)\nx <- %s; y <- %s\n",
			words(a), words(b), words(s), words(u), vector(x), vector(y))
		script.WriteString(`
m <- lm(y ~ a + b + x + s + u + a:u + x:u)
k <- coef(m); e <- summary(m)$coefficients
out(sum(is.na(k)), m$rank, m$df.residual, summary(m)$sigma, summary(m)$r.squared)
out(unname(k[!is.na(k)]), e[,2], e[,4], t(confint(m)[!is.na(k),]))
v <- anova(m); out(v[["Sum Sq"]]); out(v[["Pr(>F)"]][seq_len(nrow(v)-1)])
e <- rstudent(m)[1:5]; e[!is.finite(e)] <- 0 # a reading alone in its cell
out(hatvalues(m)[1:5], e)
w <- anova(lm(y ~ a + x), m); out(w[["F"]][2], w[["Pr(>F)"]][2])
`)
		d := NewDesign(n)
		ok(t, d.AddFactor("a", a, nil))
		ok(t, d.AddFactor("b", b, nil))
		ok(t, d.AddNumeric("x", x))
		ok(t, d.AddFactor("s", s, nil))
		ok(t, d.AddFactor("u", u, nil))
		ok(t, d.AddInteraction("a", "u"))
		ok(t, d.AddInteraction("x", "u"))
		m, err := Fit(y, d, 0.95)
		ok(t, err)
		c.add("dropped", 0, float64(len(m.Aliases)))
		c.add("rank, df, sigma, R²", 1e-10, float64(m.Rank), float64(m.DF), m.Sigma, m.R2)
		var value, se, p, ends []float64
		for _, k := range m.Coefficients {
			if !k.Aliased {
				value, se, p = append(value, k.Value), append(se, k.SE), append(p, k.P)
				ends = append(ends, k.Interval.Low, k.Interval.High)
			}
		}
		c.add("coefficients", 1e-8, value...)
		c.add("standard errors", 1e-8, se...)
		c.add("p values", 1e-7, p...)
		c.add("intervals", 1e-8, ends...)
		rows, err := m.Variance()
		ok(t, err)
		var ss, ps []float64
		for _, v := range rows {
			if v.DF == 0 {
				continue // R leaves wholly aliased terms out
			}
			ss = append(ss, v.SS)
			if v.Term != ResidualTerm {
				ps = append(ps, v.P)
			}
		}
		c.add("sums of squares", 1e-8, ss...)
		c.add("p of terms", 1e-7, ps...)
		var h, st []float64
		for _, v := range m.Residuals[:5] {
			h, st = append(h, v.Leverage), append(st, v.Studentised)
		}
		c.add("leverages", 1e-9, h...)
		c.add("studentised residuals", 1e-8, st...)
		small, err := Fit(y, d.Without("b", "s", "u", "a × u", "x × u"), 0.95)
		ok(t, err)
		f, err := NestedF(small, m)
		ok(t, err)
		c.add("nested F", 1e-8, f.F)
		c.add("nested p", 1e-7, f.P)
	}
	c.with(t, runR(t, script.String()))
}

func TestOutsideTrendsAndPower(t *testing.T) {
	r := seedFor(t)
	var script strings.Builder
	var c compare
	for i := 0; i < 30; i++ {
		n := 5 + r.IntN(20)
		x, y := make([]float64, n), make([]float64, n)
		for j := range x {
			x[j] = float64(j)
			y[j] = 50 + 0.1*x[j] + r.NormFloat64()
			if i%2 == 1 {
				x[j] = float64(j / 2)
				y[j] = math.Round(y[j])
			}
		}
		pv := make([]float64, 1+r.IntN(8))
		for j := range pv {
			pv[j] = math.Pow(r.Float64(), 3)
		}
		size := 2 + r.IntN(9)
		fmt.Fprintf(&script, "x <- %s; y <- %s; p <- %s; n <- %d; exact <- %s\n", vector(x), vector(y), vector(pv), size, map[bool]string{true: "TRUE", false: "FALSE"}[i%2 == 0])
		script.WriteString(`
m <- lm(y ~ x); out(coef(m)[2], confint(m)[2,], summary(m)$coefficients[2,4])
k <- suppressWarnings(cor.test(x, y, method="kendall", exact=exact, continuity=TRUE)); out(k$p.value)
s <- outer(y, y, "-")/outer(x, x, "-"); out(median(s[is.finite(s) & lower.tri(s)]))
out(p.adjust(p, "holm"))
out(power.t.test(n=n, sd=2, power=.8, strict=TRUE, tol=1e-12)$delta)
u <- 1/(x+1); m <- lm(I(y) ~ u); out(coef(m), t(confint(m)))
m <- lm(log(y) ~ log(x+1)); out(coef(m)[2], confint(m)[2,])
`)
		l, err := LinearTrend(x, y, 0.95)
		ok(t, err)
		c.add("trend", 1e-9, l.Slope, l.Interval.Low, l.Interval.High, l.P)
		s, err := TheilSen(x, y, 0.95)
		ok(t, err)
		c.add("Kendall's p", 1e-9, s.P)
		c.add("Theil–Sen", 1e-12, s.Slope)
		h, err := Holm(pv)
		ok(t, err)
		c.add("Holm", 1e-13, h...)
		d, err := MinimumDetectable(size, size, 2, float64(2*size-2), 0.95, 0.8)
		ok(t, err)
		c.add("detectable difference", 1e-6, d)
		f := make([]float64, n)
		for j := range f {
			f[j] = x[j] + 1
		}
		m, err := FitAmdahl(f, y, 0.95)
		ok(t, err)
		c.add("Amdahl", 1e-9, m.A.Value, m.B.Value, m.AInterval.Low, m.AInterval.High, m.BInterval.Low, m.BInterval.High)
		e, err := Elasticity(f, y, 0.95)
		ok(t, err)
		c.add("elasticity", 1e-9, e.Value, e.Interval.Low, e.Interval.High)
	}
	c.with(t, runR(t, script.String()))
}
