package stats

import (
	"errors"
	"fmt"
	"math"
)

// RatioOfMeans is what x is worth against baseline y: the ratio of the mean
// readings with its interval, for two readings each at least. It is Fieller's
// with unequal spreads; where that set is not an interval of positive ratios
// although all readings are positive, the ratio of geometric means with
// Welch's degrees of freedom, which is always bounded. Method says which.
// If neither can be had: ErrUnbounded (with the ratio), ErrNoSpread (with the
// ratio), ErrTooFew, ErrDomain for a baseline mean of zero.
func RatioOfMeans(x, y []float64, level float64) (RatioResult, error) {
	r, err := FiellerWelch(x, y, level)
	if (err == nil && r.Interval.Low > 0) || (err != nil && !errors.Is(err, ErrUnbounded)) {
		return r, err
	}
	if l, lerr := LogRatioWelch(x, y, level); lerr == nil {
		l.G = r.G
		return l, nil
	}
	return r, err
}

// DeltaLogRatio is the ratio of arithmetic means with an interval by the delta
// method on its logarithm, √((se_x/x̄)² + (se_y/ȳ)²), and the degrees of
// freedom of FiellerWelch. Both means must be positive.
func DeltaLogRatio(x, y []float64, level float64) (RatioResult, error) {
	a, b, err := meanEstimates(x, y)
	if err != nil {
		return RatioResult{}, err
	}
	if a.Value <= 0 || b.Value <= 0 {
		return RatioResult{}, fmt.Errorf("log ratio of means that are not positive: %w", ErrDomain)
	}
	e := Estimate{logQuotient(a.Value, b.Value), math.Hypot(a.SE/a.Value, b.SE/b.Value), ratioDF(a, b)}
	return logRatio(e, level, MethodDeltaLogRatio)
}

// LogRatioWelch is the ratio of the geometric means of x and y: the difference
// of mean logarithms with Welch's interval, turned back. All readings positive,
// two each at least. Suited to spreads that are relative.
func LogRatioWelch(x, y []float64, level float64) (RatioResult, error) {
	lx, ly, err := bothLogs(x, y)
	if err != nil {
		return RatioResult{}, err
	}
	d, err := Welch(lx, ly, level)
	if err != nil && !errors.Is(err, ErrNoSpread) {
		return RatioResult{}, err
	}
	return logRatio(Estimate{d.Difference, d.SE, d.DF}, level, MethodLogRatioWelch)
}

// LogRatioPaired is the geometric mean of x_i/y_i for readings taken in pairs,
// all positive, with the paired t interval of the logarithms.
func LogRatioPaired(x, y []float64, level float64) (RatioResult, error) {
	lx, ly, err := bothLogs(x, y)
	if err != nil {
		return RatioResult{}, err
	}
	d, err := PairedT(lx, ly, level)
	if err != nil && !errors.Is(err, ErrNoSpread) {
		return RatioResult{}, err
	}
	return logRatio(Estimate{d.Difference, d.SE, d.DF}, level, MethodLogRatioPaired)
}

// RatioKnownSD is the ratio of the geometric means of x and y, one reading
// each at least, with a relative spread borrowed from elsewhere: logSD is the
// standard deviation of log readings, as PooledLogSD gives it, with df degrees
// of freedom (0: taken as known). That both sides have this spread is an
// assumption that the page must state.
func RatioKnownSD(x, y []float64, logSD, df, level float64) (RatioResult, error) {
	if !finite(logSD, df) {
		return RatioResult{}, fmt.Errorf("borrowed spread: %w", ErrNotFinite)
	}
	if logSD < 0 || df < 0 {
		return RatioResult{}, fmt.Errorf("borrowed spread: %w", ErrDomain)
	}
	lx, ly, err := bothLogs(x, y)
	if err != nil {
		return RatioResult{}, err
	}
	mx, err := Mean(lx)
	if err != nil {
		return RatioResult{}, fmt.Errorf("ratio with a borrowed spread: %w", err)
	}
	my, err := Mean(ly)
	if err != nil {
		return RatioResult{}, fmt.Errorf("ratio with a borrowed spread: %w", err)
	}
	se := logSD * math.Sqrt(1/float64(len(x))+1/float64(len(y)))
	return logRatio(Estimate{mx - my, se, df}, level, MethodKnownSD)
}

func bothLogs(x, y []float64) (lx, ly []float64, err error) {
	if lx, err = logs(x); err != nil {
		return nil, nil, fmt.Errorf("ratio of geometric means: %w", err)
	}
	if ly, err = logs(y); err != nil {
		return nil, nil, fmt.Errorf("ratio of geometric means: %w", err)
	}
	return lx, ly, nil
}

// logQuotient is log(a/b) for positive a and b, also where a/b overflows.
func logQuotient(a, b float64) float64 {
	if q := a / b; q > 1e-300 && q < 1e300 {
		return math.Log(q)
	}
	return math.Log(a) - math.Log(b)
}

// logRatio turns an estimate of a log ratio into a ratio.
func logRatio(e Estimate, level float64, method string) (RatioResult, error) {
	if !finite(e.Value, e.SE, e.DF) {
		return RatioResult{Method: method}, fmt.Errorf("ratio: %w", ErrRange)
	}
	r := RatioResult{SELog: e.SE, DF: e.DF, Method: method}
	if r.Ratio = math.Exp(e.Value); !finite(r.Ratio) || r.Ratio == 0 {
		return RatioResult{Method: method}, fmt.Errorf("ratio: %w", ErrRange)
	}
	i, err := e.Interval(level)
	if err != nil {
		return r, err
	}
	if i, err = i.Exp(); err != nil {
		return r, err
	}
	if r.P, err = e.P(0); err != nil {
		return r, err
	}
	r.Interval, r.Set = i, Bounded
	return r, nil
}
