package stats_test

import (
	"fmt"

	"benchwright/stats"
)

// What a configuration is worth against the baseline, five readings each, in
// frames per second.
func ExampleRatioOfMeans() {
	candidate := []float64{81.2, 80.7, 81.5, 80.9, 81.1}
	baseline := []float64{76.3, 75.8, 76.1, 76.4, 75.9}
	r, err := stats.RatioOfMeans(candidate, baseline, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f (%.3f to %.3f), %s\n", r.Ratio, r.Interval.Low, r.Interval.High, r.Method)
	// Output: 1.065 (1.060 to 1.071), Fieller, unequal spreads
}

// Two matched pairs combined into one effect.
func ExampleCombine() {
	var effects []stats.Estimate
	for _, pair := range [][2][]float64{
		{{81.2, 80.7, 81.5}, {76.3, 75.8, 76.1}},
		{{14.1, 13.9, 14.0}, {12.9, 13.0, 12.8}},
	} {
		r, err := stats.RatioOfMeans(pair[0], pair[1], 0.95)
		if err != nil {
			fmt.Println(err)
			return
		}
		e, err := r.LogEstimate()
		if err != nil {
			fmt.Println(err)
			return
		}
		effects = append(effects, e)
	}
	c, err := stats.Combine(effects, nil, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	ratio, interval, err := c.Ratio()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f (%.3f to %.3f)\n", ratio, interval.Low, interval.High)
	// Output: 1.076 (1.067 to 1.085)
}

// A plan in which two settings always change together.
func ExampleAliases() {
	d := stats.NewDesign(4)
	if err := d.AddFactor("memory", []string{"slow", "slow", "fast", "fast"}, []string{"slow", "fast"}); err != nil {
		fmt.Println(err)
	}
	if err := d.AddFactor("voltage", []string{"low", "low", "high", "high"}, []string{"low", "high"}); err != nil {
		fmt.Println(err)
	}
	aliases, rank, err := stats.Aliases(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("rank", rank)
	for _, a := range aliases {
		fmt.Println(a.Column, "cannot be told from", a.Of[0].Column)
	}
	// Output:
	// rank 2
	// voltage=high cannot be told from memory=fast
}
