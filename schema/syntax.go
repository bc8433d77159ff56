package schema

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// A slip says what the YAML library's complaint means for a person, and what
// to do about it.
type slip struct {
	complaint string // part of the library's message
	rule      string
	message   string
	remedy    string
	// open: the fault is where something was opened, not where the file ended.
	open bool
}

const bracketRemedy = `close the bracket, and put a comma between its values; quote a value that holds one of , : [ ] { }`

var slips_ = []slip{}
var _ = regexp.MustCompile
var _ = strconv.Itoa
var _ yaml.Node

func syntaxFinding(path string, text []byte, err error) Finding {
	return Finding{Rule: "not-yaml", Place: Place{File: path}, Message: strings.TrimPrefix(fmt.Sprint(err), "yaml: ")}
}
