package stats

import "math"

// clusterAlphas are the tabulated significances of TwoClusters.
var clusterAlphas = [3]float64{0.05, 0.01, 0.001}

// clusterTable holds, per number of readings, the quantiles of the ratio that
// bestSplit gives for normal readings with at least two on each side: 2 million
// simulated samples up to n = 16, 20 million readings in all above (40,000
// samples at least). TestClusterTable simulates some of it anew.
var clusterTable = []struct {
	n        int
	critical [3]float64
}{
	{6, [3]float64{0.0723, 0.0327, 0.01051}},
	{7, [3]float64{0.0917, 0.0486, 0.01896}},
	{8, [3]float64{0.1089, 0.0641, 0.02993}},
	{9, [3]float64{0.1237, 0.0783, 0.04058}},
	{10, [3]float64{0.1365, 0.0917, 0.05163}},
	{12, [3]float64{0.1580, 0.1136, 0.07209}},
	{14, [3]float64{0.1746, 0.1315, 0.08972}},
	{16, [3]float64{0.1883, 0.1466, 0.10491}},
	{20, [3]float64{0.2089, 0.1697, 0.12943}},
	{25, [3]float64{0.2273, 0.1904, 0.15249}},
	{30, [3]float64{0.2402, 0.2058, 0.17010}},
	{40, [3]float64{0.2585, 0.2276, 0.19438}},
	{60, [3]float64{0.2797, 0.2535, 0.22498}},
	{100, [3]float64{0.3001, 0.2787, 0.25577}},
	{200, [3]float64{0.3202, 0.3049, 0.28867}},
	{500, [3]float64{0.3368, 0.3270, 0.31601}},
	{1000, [3]float64{0.3449, 0.3377, 0.32997}},
}

// clusterCritical interpolates the table in 1/√n, in which it is nearly
// straight; beyond it lies 1 − 2/π, the ratio of a normal population cut at its
// mean.
func clusterCritical(n, column int) float64 {
	x := 1 / math.Sqrt(float64(n))
	last := clusterTable[len(clusterTable)-1]
	lowX, low := 0.0, 1-2/math.Pi
	highX, high := 1/math.Sqrt(float64(last.n)), last.critical[column]
	for i := len(clusterTable) - 1; i > 0 && n < clusterTable[i].n; i-- {
		lowX, low = highX, high
		highX, high = 1/math.Sqrt(float64(clusterTable[i-1].n)), clusterTable[i-1].critical[column]
	}
	return low + (high-low)*(x-lowX)/(highX-lowX)
}
