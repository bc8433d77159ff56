package stats

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"
)

// NIST/SEMATECH e-Handbook 1.3.5.2: published limits, and R's digits.
func TestLimitsForTheMean(t *testing.T) {
	x := column(t, "nist/zarr13.csv", "y")
	ref := reference(t, "nist/ref_nist_R.csv")
	published := handbook(t)
	i, err := MeanInterval(x, 0.95)
	ok(t, err)
	within(t, "low as published", i.Low, number(t, published["ZARR13/ci95_low"]), 5.1e-7)
	within(t, "high as published", i.High, number(t, published["ZARR13/ci95_high"]), 5.1e-7)
	for _, level := range []string{"0.5", "0.75", "0.9", "0.95", "0.99", "0.999", "0.9999", "0.99999"} {
		i, err := MeanInterval(x, number(t, level))
		ok(t, err)
		near(t, "low at "+level, i.Low, want(t, ref, "zarr13/ci|"+level+"|low"), 1e-14)
		near(t, "high at "+level, i.High, want(t, ref, "zarr13/ci|"+level+"|high"), 1e-14)
	}
	d, err := OneSample(x, 5, 0.95)
	ok(t, err)
	near(t, "t against 5", d.T, want(t, ref, "zarr13/one_sample_t_mu0_5"), 1e-12)
	a, err := Lag1Autocorrelation(x)
	ok(t, err)
	within(t, "autocorrelation as published", a, number(t, published["ZARR13/autocorr_lag1"]), 5.1e-8)
}

func handbook(t *testing.T) map[string]string {
	m := map[string]string{}
	for _, r := range table(t, "nist/published_handbook_results.csv") {
		m[r["example"]+"/"+r["quantity"]] = r["published"]
	}
	return m
}

// NIST/SEMATECH e-Handbook 1.3.5.3 (AUTO83B): pooled t −12.62059 with 326
// degrees of freedom; Welch's and the log ratio from R.
func TestTwoSampleHandbook(t *testing.T) {
	var us, jp []float64
	for _, r := range table(t, "nist/auto83b.csv") {
		v := number(t, r["mpg"])
		if r["origin"] == "US" {
			us = append(us, v)
		} else {
			jp = append(jp, v)
		}
	}
	ref := reference(t, "nist/ref_nist_R.csv")
	published := handbook(t)
	p, err := Pooled(us, jp, 0.95)
	ok(t, err)
	within(t, "pooled t as published", p.T, number(t, published["AUTO83B/t_pooled"]), 5.1e-6)
	w, err := Welch(us, jp, 0.95)
	ok(t, err)
	within(t, "Welch t as published", w.T, number(t, published["AUTO83B/t_welch"]), 5.1e-6)
	for name, d := range map[string]Difference{"auto83b_pooled": p, "auto83b_welch": w} {
		near(t, name+" t", d.T, want(t, ref, name+"/t"), 1e-13)
		near(t, name+" df", d.DF, want(t, ref, name+"/df"), 1e-13)
		near(t, name+" p", d.P, want(t, ref, name+"/p"), 1e-11)
		near(t, name+" difference", d.Difference, want(t, ref, name+"/diff"), 1e-13)
		near(t, name+" se", d.SE, want(t, ref, name+"/se"), 1e-13)
		near(t, name+" low", d.Interval.Low, want(t, ref, name+"/ci95_low"), 1e-13)
		near(t, name+" high", d.Interval.High, want(t, ref, name+"/ci95_high"), 1e-13)
	}
	s, err := PooledSD([][]float64{us, jp})
	ok(t, err)
	near(t, "pooled sd", s.SD, want(t, ref, "auto83b_pooled/pooled_sd"), 1e-14)
	r, err := LogRatioWelch(us, jp, 0.95)
	ok(t, err)
	near(t, "log ratio", r.Ratio, want(t, ref, "auto83b_log_welch/geomean_ratio_us_over_jp"), 1e-13)
	near(t, "log ratio low", r.Interval.Low, want(t, ref, "auto83b_log_welch/ratio_ci95_low"), 1e-13)
	near(t, "log ratio high", r.Interval.High, want(t, ref, "auto83b_log_welch/ratio_ci95_high"), 1e-13)
	near(t, "log ratio df", r.DF, want(t, ref, "auto83b_log_welch/df"), 1e-12)
}

// Student's sleep data and the shoe trial of Box, Hunter and Hunter, values
// from R (also scipy, to 2e-14).
func TestPairedData(t *testing.T) {
	ref := reference(t, "datasets/ref_datasets.csv")
	var g1, g2 []float64
	for _, r := range table(t, "datasets/sleep.csv") {
		if r["group"] == "1" {
			g1 = append(g1, number(t, r["extra"]))
		} else {
			g2 = append(g2, number(t, r["extra"]))
		}
	}
	check := func(name, diff string, d Difference, err error) {
		ok(t, err)
		near(t, name+" t", d.T, want(t, ref, name+"/t"), 1e-13)
		near(t, name+" df", d.DF, want(t, ref, name+"/df"), 1e-13)
		near(t, name+" p", d.P, want(t, ref, name+"/p_two_sided"), 1e-12)
		near(t, name+" difference", d.Difference, want(t, ref, name+"/"+diff), 1e-14)
		near(t, name+" se", d.SE, want(t, ref, name+"/stderr"), 1e-13)
		near(t, name+" low", d.Interval.Low, want(t, ref, name+"/ci95_low"), 1e-13)
		near(t, name+" high", d.Interval.High, want(t, ref, name+"/ci95_high"), 1e-13)
	}
	d, err := PairedT(g1, g2, 0.95)
	check("sleep_paired_t_g1_minus_g2", "mean_difference", d, err)
	d, err = Welch(g1, g2, 0.95)
	check("sleep_welch_g1_vs_g2", "difference_x_minus_y", d, err)
	d, err = Pooled(g1, g2, 0.95)
	check("sleep_pooled_g1_vs_g2", "difference_x_minus_y", d, err)
	if _, err := LogRatioPaired(g1, g2, 0.95); !errors.Is(err, ErrDomain) {
		t.Errorf("log ratios of readings below zero: %v", err)
	}

	a, b := column(t, "datasets/mass_shoes.csv", "A"), column(t, "datasets/mass_shoes.csv", "B")
	d, err = PairedT(b, a, 0.95)
	check("shoes_paired_t_B_minus_A", "mean_difference", d, err)
	r, err := LogRatioPaired(b, a, 0.95)
	ok(t, err)
	near(t, "shoes log ratio low", r.Interval.Low, want(t, ref, "shoes_logratio_B_over_A/ratio_ci95_low"), 1e-13)
	near(t, "shoes log ratio high", r.Interval.High, want(t, ref, "shoes_logratio_B_over_A/ratio_ci95_high"), 1e-13)
	near(t, "shoes log ratio p", r.P, want(t, ref, "shoes_logratio_B_over_A/p_two_sided"), 1e-12)
	iv := reference(t, "intervals/ref_intervals.csv")
	f, err := FiellerPaired(b, a, 0.95)
	ok(t, err)
	near(t, "shoes ratio", f.Ratio, want(t, iv, "shoes_B_over_A/ratio_of_means"), 1e-14)
	near(t, "shoes Fieller low", f.Interval.Low, want(t, iv, "shoes_B_over_A/fieller_paired_low"), 1e-13)
	near(t, "shoes Fieller high", f.Interval.High, want(t, iv, "shoes_B_over_A/fieller_paired_high"), 1e-13)
	near(t, "shoes g", f.G, want(t, iv, "shoes_B_over_A/fieller_paired_g"), 1e-12)
	near(t, "shoes se of the log ratio", f.SELog, want(t, iv, "shoes_B_over_A/delta_se_log_ratio"), 1e-12)
}

func inputs(t *testing.T) map[string]struct{ X, Y []float64 } {
	b, err := os.ReadFile("../testdata/checks/intervals/interval_inputs.json")
	ok(t, err)
	m := map[string]struct{ X, Y []float64 }{}
	ok(t, json.Unmarshal(b, &m))
	return m
}

// Values from R; Fieller's also from the R package mratios 1.4.4.
func TestRatioIntervals(t *testing.T) {
	ref := reference(t, "intervals/ref_intervals.csv")
	in := inputs(t)
	for name, key := range map[string]string{
		"A_small": "A_small", "B_unbalanced": "B_unbalanced", "B_unbalanced_99": "B_unbalanced",
		"C_toothgrowth_0.5_OJ_over_VC": "C_toothgrowth_0.5",
	} {
		x, y := in[key].X, in[key].Y
		level := want(t, ref, name+"/conf_level")
		w := func(q string) float64 { return want(t, ref, name+"/"+q) }
		check := func(q string, r RatioResult, err error) {
			t.Helper()
			ok(t, err)
			if r.Set != Bounded || r.Method == "" {
				t.Errorf("%s %s: %+v", name, q, r)
			}
			near(t, name+" "+q+" low", r.Interval.Low, w(q+"_low"), 1e-13)
			near(t, name+" "+q+" high", r.Interval.High, w(q+"_high"), 1e-13)
		}
		r, err := FiellerPooled(x, y, level)
		check("fieller_pooled", r, err)
		near(t, name+" pooled g", r.G, w("fieller_pooled_g"), 1e-12)
		near(t, name+" pooled mratios", r.Interval.Low, w("mratios_pooled_low"), 1e-13)
		r, err = FiellerWelch(x, y, level)
		check("fieller_unequal", r, err)
		near(t, name+" df", r.DF, w("fieller_unequal_df_satterthwaite_plugin"), 1e-13)
		near(t, name+" g", r.G, w("fieller_unequal_g"), 1e-12)
		near(t, name+" ratio", r.Ratio, w("ratio"), 1e-14)
		near(t, name+" mratios", r.Interval.High, w("mratios_unequal_high"), 1e-13)
		chosen, err := RatioOfMeans(x, y, level)
		ok(t, err)
		if chosen != r {
			t.Errorf("%s: RatioOfMeans chose %+v", name, chosen)
		}
		r, err = FiellerNormal(x, y, level)
		check("fieller_normal", r, err)
		r, err = DeltaLogRatio(x, y, level)
		check("delta_t", r, err)
		near(t, name+" delta df", r.DF, w("delta_df_satterthwaite"), 1e-13)
		e, err := r.LogEstimate()
		ok(t, err)
		near(t, name+" log ratio", e.Value, w("delta_log_ratio"), 1e-13)
		near(t, name+" log ratio se", e.SE, w("delta_se_log_ratio"), 1e-13)
		r, err = LogRatioWelch(x, y, level)
		check("geomean_ratio", r, err)
		near(t, name+" geometric", r.Ratio, w("geomean_ratio"), 1e-13)
		near(t, name+" geometric df", r.DF, w("geomean_ratio_welch_df"), 1e-12)
	}
}

// Published worked examples; digits as printed. The calculator cuts or rounds
// to two decimals.
func TestPublishedFiellerExamples(t *testing.T) {
	for _, r := range table(t, "intervals/published_fieller_examples.csv") {
		level := number(t, r["conf_level"])
		seA, seB, df := 3.0, 2.0, 10.0
		tolerance := 1e-6 // some figures are cut, not rounded
		if strings.HasPrefix(r["inputs"], "means") {
			seA, seB = 3/math.Sqrt(6), 2/math.Sqrt(6)
			tolerance = 6e-3
		}
		got, err := Fieller(14, 7, seA, seB, 0, df, level)
		ok(t, err)
		values := map[string]float64{"g": got.G, "low": got.Interval.Low, "high": got.Interval.High}
		p := strings.Split(r["published"], ";")
		for i, q := range strings.Split(r["quantity"], ";") {
			if q == "t" {
				continue
			}
			v := number(t, p[i])
			tol := tolerance
			if q == "high" && v > 5 { // 5.836045 as published, 5.836049 exactly
				tol = 5e-6
			}
			within(t, r["inputs"]+" "+q, values[q], v, tol)
		}
	}
}

// A confidence set that is not an interval must never look like one.
func TestUnboundedRatiosAreNotIntervals(t *testing.T) {
	ref := reference(t, "intervals/ref_intervals.csv")
	in := inputs(t)
	for name, kind := range map[string]SetKind{"unbounded_U": Exclusive, "unbounded_V": WholeLine} {
		x, y := in[name].X, in[name].Y
		for _, f := range []func(x, y []float64, level float64) (RatioResult, error){FiellerPooled, FiellerWelch, RatioOfMeans} {
			r, err := f(x, y, 0.95)
			if !errors.Is(err, ErrUnbounded) {
				t.Fatalf("%s: %v", name, err)
			}
			if r.Interval.Known() || r.Set == Bounded || r.Ratio == 0 {
				t.Errorf("%s: %+v", name, r)
			}
		}
		// The reference takes each side's own variance with n_x+n_y−2 = 6
		// degrees of freedom.
		a, err := MeanEstimate(x)
		ok(t, err)
		b, err := MeanEstimate(y)
		ok(t, err)
		r, _ := Fieller(a.Value, b.Value, a.SE, b.SE, 0, 6, 0.95)
		if r.Set != kind {
			t.Errorf("%s is %v, want %v", name, r.Set, kind)
		}
		near(t, name+" g", r.G, want(t, ref, name+"/g"), 1e-12)
		if kind == Exclusive {
			near(t, "excluded from", r.Excluded.Low, want(t, ref, name+"/root_low"), 1e-12)
			near(t, "excluded to", r.Excluded.High, want(t, ref, name+"/root_high"), 1e-12)
		}
	}
	// All readings positive: the log ratio steps in and says so.
	r, err := RatioOfMeans([]float64{10, 11, 9}, []float64{1, 9, 3}, 0.95)
	ok(t, err)
	if r.Method != MethodLogRatioWelch || r.Set != Bounded || r.Interval.Low <= 0 {
		t.Errorf("%+v", r)
	}
	// So it does where Fieller's interval reaches below zero.
	x, y := []float64{10, 1}, []float64{5, 5.1}
	if r, err := FiellerWelch(x, y, 0.95); err != nil || r.Interval.Low > 0 {
		t.Errorf("no longer a case of it: %+v %v", r, err)
	}
	r, err = RatioOfMeans(x, y, 0.95)
	ok(t, err)
	if r.Method != MethodLogRatioWelch || r.Interval.Low <= 0 {
		t.Errorf("%+v", r)
	}
}

// Interval and test must not contradict each other.
func TestRatioIntervalAgreesWithItsP(t *testing.T) {
	x := []float64{101, 103, 99, 104}
	for shift := -8.0; shift < 8; shift += 0.25 {
		y := []float64{97 + shift, 100 + shift, 102 + shift}
		for _, f := range []func(x, y []float64, level float64) (RatioResult, error){FiellerPooled, FiellerWelch, LogRatioWelch, RatioOfMeans} {
			r, err := f(x, y, 0.95)
			ok(t, err)
			if r.Interval.Contains(1) != (r.P >= 0.05) {
				t.Errorf("%s: p = %v, interval %+v", r.Method, r.P, r.Interval)
			}
		}
	}
}

func TestBorrowedSpread(t *testing.T) {
	// By hand: log ratio ± t·s·√2 with t(0.975, 8) = 2.306004135.
	r, err := RatioKnownSD([]float64{110}, []float64{100}, 0.01, 8, 0.95)
	ok(t, err)
	near(t, "ratio", r.Ratio, 1.1, 1e-15)
	near(t, "low", r.Interval.Low, 1.1*math.Exp(-2.306004135204166*0.01*math.Sqrt2), 1e-12)
	near(t, "high", r.Interval.High, 1.1*math.Exp(2.306004135204166*0.01*math.Sqrt2), 1e-12)
	if _, err := RatioKnownSD([]float64{110}, []float64{100}, 0, 8, 0.95); !errors.Is(err, ErrNoSpread) {
		t.Errorf("a borrowed spread of nothing: %v", err)
	}
	if _, err := RatioOfMeans([]float64{110}, []float64{100, 101}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("one reading: %v", err)
	}
}

// Coverage of order statistics: n = 6, smallest and largest, 1 − 2/64
// (W. J. Conover 1999); 5 readings cannot reach 95 %.
func TestMedianInterval(t *testing.T) {
	i, err := MedianInterval([]float64{5, 1, 4, 2, 6, 3}, 0.95)
	ok(t, err)
	if i.Low != 1 || i.High != 6 {
		t.Errorf("%+v", i)
	}
	near(t, "coverage", i.Level, 1-2.0/64, 1e-14)
	i, err = MedianInterval([]float64{1, 2, 3, 4, 5}, 0.95)
	if !errors.Is(err, ErrTooFew) {
		t.Errorf("five readings: %+v, %v", i, err)
	}
	near(t, "coverage of five", i.Level, 1-2.0/32, 1e-14)
	// n = 20 at 95 %: ranks 6 and 15, coverage 1 − 2·P(B ≤ 5) = 0.9586105.
	x := make([]float64, 20)
	for k := range x {
		x[k] = float64(20 - k)
	}
	i, err = MedianInterval(x, 0.95)
	ok(t, err)
	if i.Low != 6 || i.High != 15 {
		t.Errorf("%+v", i)
	}
	near(t, "coverage of twenty", i.Level, 1-2*(1+20+190+1140+4845+15504)/math.Pow(2, 20), 1e-13)
}

// Type 7 by hand on 1…4: 1 + 3p.
func TestQuantileAndMAD(t *testing.T) {
	x := []float64{4, 1, 3, 2}
	for p, want := range map[float64]float64{0: 1, 0.25: 1.75, 0.5: 2.5, 0.9: 3.7, 1: 4} {
		got, err := Quantile(x, p)
		ok(t, err)
		near(t, "quantile", got, want, 1e-15)
	}
	// R: mad(c(1, 2, 3, 4, 100)) = 1.4826.
	got, err := MAD([]float64{1, 2, 3, 4, 100})
	ok(t, err)
	near(t, "MAD", got, 1.482602218505602, 1e-15)
	if _, err := Quantile(x, 1.5); !errors.Is(err, ErrDomain) {
		t.Errorf("%v", err)
	}
}
