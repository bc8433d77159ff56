package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// flagFault says of a flag that cannot be read what it takes, in place of what
// the parser of numbers says to programmers.
func flagFault(c *cobra.Command, err error) error {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return hint(err, "see "+c.CommandPath()+" --help")
	}
	name, value := "--"+bad.GetFlag().Name, bad.GetValue()
	switch bad.GetFlag().Value.Type() {
	case "int", "uint64":
		return hint(fmt.Errorf("%s takes a whole number, such as %s, and not %q", name, wholeNear(value), value), "see "+c.CommandPath()+" --help")
	case "float64":
		example := "90"
		if minutes, ok := inMinutes(value); ok && bad.GetFlag().Name == "minutes" {
			example = minutes
		}
		return hint(fmt.Errorf("%s takes a number without a unit, such as %s, and not %q", name, example, value), "see "+c.CommandPath()+" --help")
	case "bool":
		return hint(fmt.Errorf("%s is given without a value, and not as %q", name, value), "see "+c.CommandPath()+" --help")
	}
	return hint(err, "see "+c.CommandPath()+" --help")
}

// wholeNear is the whole number that a value with decimals begins with, or 2.
func wholeNear(value string) string {
	if v, err := strconv.ParseFloat(value, 64); err == nil && v >= 1 && v < 1e6 {
		return strconv.Itoa(int(v))
	}
	return "2"
}

// inMinutes reads a length of time as people write it: "3h", "1 h 30 min".
func inMinutes(value string) (minutes string, ok bool) {
	text := strings.NewReplacer(" ", "", "minutes", "m", "mins", "m", "min", "m", "hours", "h", "hour", "h").Replace(strings.ToLower(value))
	if utf8.RuneCountInString(text) > 20 {
		return "", false
	}
	d, err := time.ParseDuration(text)
	if err != nil || d <= 0 {
		return "", false
	}
	return strconv.FormatFloat(d.Minutes(), 'f', -1, 64), true
}
