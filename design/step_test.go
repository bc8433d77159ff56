package design

import "testing"

// A session may hold a reading in seconds and one in milliseconds; the step of
// the workload is that of the finer, whichever was written first.
func TestTheStepHasOneUnitInEitherOrder(t *testing.T) {
	const head = "-- results/readings.csv --\nsession,configuration,workload,value,unit\n"
	for _, rows := range []string{
		"first,base,encode,100.2,s\nfirst,base,encode,100300,ms\n",
		"first,base,encode,100300,ms\nfirst,base,encode,100.2,s\n",
	} {
		p := load(t, head+rows)
		in := newInquiry(NewSpace(p))
		var all []int
		for i := range p.Readings {
			all = append(all, i)
		}
		if len(all) != 2 {
			t.Fatalf("%d readings", len(all))
		}
		if step := in.step(0, all); step < 0.000999 || step > 0.001001 {
			t.Errorf("%q: step %v s, want 0.001", rows, step)
		}
	}
}
