// Command benchwright turns a folder of hardware test results into a site that
// can be published, after checking that every comparison in it is fair.
//
// It holds no method: commands read flags, call the packages of the flow and
// lay out what they return. See README.md for what it does.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"benchwright/cores"
	"benchwright/memory"
)

// Exit codes, the same for every command.
const (
	exitFine     = 0
	exitFindings = 1 // findings of severity error
	exitUnusable = 2 // input that cannot be read, or wrong usage
	exitPartly   = 3 // nothing wrong was found, and not all could be looked at
)

// errFindings says that the command did its work and found errors in the
// folder, which it has already printed.
var errFindings = errors.New("findings of severity error")

// errPartly says that what could be compared agrees, and that the rest could not.
var errPartly = errors.New("not all could be compared")

// errUnread is errFindings for a folder that could not be read at all.
var errUnread = errors.New("the folder cannot be read")

func main() {
	memory.Tune()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// run is main without the exit, so that tests can call it in process.
func run(args []string, in io.Reader, out, errw io.Writer) (code int) {
	t := newTerminal(out, errw)
	defer func() {
		if p := recover(); p != nil {
			t.fault(hint(fmt.Errorf("this is a fault of benchwright itself: %v", p),
				"nothing was published; please report it with the lines below"))
			stack := debug.Stack()
			if f, ok := p.(*cores.Fault); ok {
				stack = f.Stack
			}
			fmt.Fprintf(errw, "%s", stack)
			code = exitUnusable
		}
	}()
	root := rootCommand(t, in)
	root.SetArgs(between(args))
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errw)
	switch err := root.Execute(); {
	case err == nil:
		return exitFine
	case errors.Is(err, errFindings):
		return exitFindings
	case errors.Is(err, errPartly):
		return exitPartly
	case errors.Is(err, errUnread):
		return exitUnusable
	default:
		t.fault(err)
		return exitUnusable
	}
}
