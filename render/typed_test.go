package render

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"testing"
)

// Thousands that are set apart are understood in the language's way, and what
// may mean something else is asked about.
func TestReadingWhatAViewerTyped(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed: the scripts cannot be run")
	}
	type typed struct {
		Value float64
		Plain string
		Doubt *float64
	}
	is := func(value float64, plain string) *typed { return &typed{value, plain, nil} }
	asked := func(value float64, plain string, doubt float64) *typed { return &typed{value, plain, &doubt} }
	cases := []struct {
		Text, Mark string
		want       *typed
	}{
		{"3,500", ".", asked(3500, "3500", 3.5)},
		{"3.500", ".", is(3.5, "3.500")},
		{"3.500", ",", asked(3500, "3500", 3.5)},
		{"3,500", ",", is(3.5, "3.500")},
		{"1,234,567", ".", is(1234567, "1234567")},
		{"1.234.567", ".", is(1234567, "1234567")},
		{"3,500.5", ",", is(3500.5, "3500.5")},
		{"3.500,25", ".", is(3500.25, "3500.25")},
		{"-12,000", ".", asked(-12000, "-12000", -12)},
		{"0,500", ".", is(0.5, "0.500")},
		{"3,50", ".", is(3.5, "3.50")},
		{"1500,250", ".", is(1500.25, "1500.250")},
		{"−3", ".", is(-3, "-3")},
		{"+4e2", ".", is(400, "4e2")},
		{"3,50,0", ".", nil},
		{"1,234.567,8", ".", nil},
		{"fast", ".", nil},
	}
	text, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	cmd := exec.Command(node, "testdata/typed.cjs", "../themes/base/yours.js", string(text))
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("running the script: %v\n%s", err, errs.String())
	}
	var got struct {
		Read   []*typed
		Far    []bool
		Signed string
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for i, c := range cases {
		g := got.Read[i]
		switch {
		case g == nil || c.want == nil:
			if (g == nil) != (c.want == nil) {
				t.Errorf("%q with %q before decimals: got %+v, want %+v", c.Text, c.Mark, g, c.want)
			}
		case g.Value != c.want.Value || g.Plain != c.want.Plain || (g.Doubt == nil) != (c.want.Doubt == nil) || g.Doubt != nil && *g.Doubt != *c.want.Doubt:
			t.Errorf("%q with %q before decimals: got %+v, want %+v", c.Text, c.Mark, *g, *c.want)
		}
	}
	if want := [...]bool{true, false, false, true}; [4]bool(got.Far) != want {
		t.Errorf("more than ten times off: %v, want %v", got.Far, want)
	}
	if got.Signed != "−3" {
		t.Errorf("-3 is written %q", got.Signed)
	}
}
