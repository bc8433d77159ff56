package record

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"benchwright/project"
	"benchwright/schema"
)

// understand checks names, numbers, units and outcomes of the readings, and
// fills in what goes without saying. It reports everything at once.
func understand(p *project.Project, readings []Reading) []schema.Finding {
	u := understanding{p: p}
	for _, c := range p.Configurations {
		u.configurations = append(u.configurations, c.ID)
	}
	for _, w := range p.Workloads {
		if isRead(w) {
			u.workloads = append(u.workloads, w.ID)
		}
	}
	for _, s := range p.Sessions {
		u.sessions = append(u.sessions, s.ID)
	}
	for i := range readings {
		u.reading(&readings[i])
	}
	return u.bad
}

// isRead tells workloads whose readings are written down from those computed.
func isRead(w *project.Workload) bool { return w.Derived == nil && w.FramesOf == "" }

type understanding struct {
	p                                   *project.Project
	configurations, workloads, sessions []string
	bad                                 []schema.Finding
}

func (u *understanding) fault(r *Reading, rule, remedy, format string, values ...any) {
	u.bad = append(u.bad, finding(rule, r.At, remedy, format, values...))
}

func (u *understanding) reading(r *Reading) {
	u.name(r, "configuration", r.Configuration, u.configurations, "--configuration")
	w := u.p.Workload(r.Workload)
	if w != nil && w.FramesOf != "" {
		u.fault(r, "derived-reading", "record the file under --workload "+w.FramesOf, "%q is taken from the frame files of %q and never read by itself", r.Workload, w.FramesOf)
	} else if w != nil && !isRead(w) {
		u.fault(r, "derived-reading", "record the workloads that it is made of", "%q is computed from other workloads and never read", r.Workload)
	} else {
		u.name(r, "workload", r.Workload, u.workloads, "--workload")
	}
	if r.Session == "" && len(u.sessions) == 1 {
		r.Session = u.sessions[0]
	}
	if len(u.sessions) == 0 {
		u.fault(r, "unknown-id", "add one: --new-session ID --date YYYY-MM-DD", "there is no session yet")
	} else {
		u.name(r, "session", r.Session, u.sessions, "--session")
	}
	if r.Repeat < 0 || r.Order < 0 {
		u.fault(r, "not-a-count", "write 1, 2, 3 …", "repeat and order count from 1 on")
	}
	u.outcome(r)
	u.texts(r)
	u.value(r, w)
}

func (u *understanding) name(r *Reading, kind, id string, known []string, flag string) {
	if slices.Contains(known, id) {
		return
	}
	remedy := ""
	if near := schema.Nearest(id, known); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	} else if len(known) > 0 && len(known) <= 12 {
		remedy = fmt.Sprintf("the %ss are %s", kind, strings.Join(known, ", "))
	} else if len(known) > 12 {
		remedy = fmt.Sprintf("there are %d %ss, such as %s", len(known), kind, strings.Join(known[:6], ", "))
	}
	if id == "" {
		u.fault(r, "missing-value", strings.TrimPrefix(remedy+"; give one with "+flag, "; "), "the reading names no %s", kind)
		return
	}
	u.fault(r, "unknown-id", remedy, "there is no %s %q", kind, id)
}

func (u *understanding) outcome(r *Reading) {
	if r.Outcome == "" {
		r.Outcome = project.OK.String()
	}
	if words := project.OutcomeWords(); !slices.Contains(words, r.Outcome) {
		remedy := "one of " + strings.Join(words, ", ")
		if near := schema.Nearest(r.Outcome, words); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		u.fault(r, "unknown-outcome", remedy, "there is no outcome %q", r.Outcome)
	}
	if r.Outcome == project.Excluded.String() && r.Reason == "" {
		u.fault(r, "missing-reason", "say why it does not count", "a reading is excluded without a reason")
	}
}

// longestText bounds a reason or note in characters.
const longestText = 2000

func (u *understanding) texts(r *Reading) {
	for _, t := range []struct{ name, text string }{{"reason", r.Reason}, {"note", r.Note}, {"unit", r.Unit}} {
		if strings.ContainsFunc(t.text, unicode.IsControl) {
			u.fault(r, "control-character", "write it in one line", "the %s holds a line break or another control character", t.name)
		}
		if len(t.text) > longestText {
			u.fault(r, "too-large", "put it into a note of the report", "the %s is longer than %d bytes", t.name, longestText)
		}
	}
}

func (u *understanding) value(r *Reading, w *project.Workload) {
	r.Value, r.Unit = strings.TrimSpace(r.Value), strings.TrimSpace(r.Unit)
	if r.Value == "" {
		if r.Outcome == project.OK.String() || r.Outcome == project.Excluded.String() {
			u.withoutValue(r)
		}
		return
	}
	if w != nil && w.FrameTimes != "" {
		number, _ := splitUnit(r.Value)
		if _, _, ok := schema.ParseNumber(number, schema.Dialect{}); ok {
			u.fault(r, "missing-file", "put the file under frames/ and give its name, such as one-fan-1.csv", "%q takes a file of frame times, and %q is not the name of one", w.ID, r.Value)
		}
		return // the value is the name of a file, which the loader looks for
	}
	if point, ok := decimalComma(r); ok {
		r.Typed, r.Value = r.Value, point
	}
	if value, unit := splitUnit(r.Value); unit != "" && r.Unit == "" && !r.misread {
		r.Value, r.Unit, r.unitInValue = value, unit, true
	}
	mark := schema.Dialect{}
	if r.misread {
		mark.Decimal = r.mark
	}
	if _, _, ok := schema.ParseNumber(r.Value, mark); !ok {
		u.fault(r, "not-a-number", numberRemedy(r), "%s", schema.NumberFault(r.Value, mark))
	}
	if r.Unit == "" {
		return
	}
	unit, ok := u.p.Unit(r.Unit)
	switch {
	case !ok:
		remedy := ""
		if w != nil {
			remedy = "the unit of " + w.ID + " is " + givenIn(w).Symbol
		}
		u.fault(r, "unknown-unit", remedy, "there is no unit %q", r.Unit)
	case w != nil && unit.Dimension != givenIn(w).Dimension:
		u.fault(r, "wrong-dimension", "give the value in "+givenIn(w).Symbol, "%s cannot be converted into %s, the unit of %q", r.Unit, givenIn(w).Symbol, w.ID)
	}
}

// oneComma is a number with one comma in it, and what may stand behind it.
var oneComma = regexp.MustCompile(`^([+\-\x{2212}]?[0-9]+),([0-9]+)(\s*[^0-9,.\s][^,]*)?$`)

// decimalComma writes a value that a person typed with a point. A phone whose
// language marks decimals by a comma has no key for another mark. A comma before
// three digits may stand between thousands, and is not taken.
func decimalComma(r *Reading) (point string, ok bool) {
	if r.source != byHand || r.At.Line > 0 {
		return "", false
	}
	m := oneComma.FindStringSubmatch(r.Value)
	if m == nil || len(m[2]) == 3 {
		return "", false
	}
	return m[1] + "." + m[2] + m[3], true
}

// groupOrDecimals is a number that its one mark either groups or gives decimals.
var groupOrDecimals = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}[,.][0-9]{3}$`)

// numberRemedy says what to write instead of a value that is no number: in the
// place that it came from, with the decimal mark of that place.
func numberRemedy(r *Reading) string {
	words := strings.Join(failing(), ", ")
	other, called, own := ",", "comma", "."
	if r.mark == ',' {
		other, called, own = ".", "point", ","
	}
	switch whole, thousands, found := strings.Cut(r.Value, other); {
	case found && groupOrDecimals.MatchString(r.Value):
		return fmt.Sprintf("write %s%s if the %s stands between thousands, or %s%s%s if it stands before decimals", whole, thousands, called, whole, own, thousands)
	case r.source == gridCell && schema.NoNumber(r.Value):
		return "leave the cell empty, or write in it how the run ended (" + words + ")"
	case r.source == byHand && r.At.Line == 0 && schema.NoNumber(r.Value):
		return "leave the value out and give the outcome of a run that failed: " + words
	case r.source == gridCell:
		// A decimal comma in a spreadsheet is a matter of its display: a number
		// has none, a text that looks like one has.
		point := strings.Replace(r.Value, ",", ".", 1)
		if _, _, ok := schema.ParseNumber(point, schema.Dialect{}); ok && strings.Contains(r.Value, ",") {
			return fmt.Sprintf("the cell holds a text: enter it as a number, or write %q", point)
		}
	}
	return schema.NumberRemedy(r.Value, schema.Dialect{Decimal: r.mark})
}

// withoutValue reports a reading that says nothing. A row of a table may also
// be one that was planned and not read yet.
func (u *understanding) withoutValue(r *Reading) {
	words := strings.Join(failing(), ", ")
	if r.At.Line > 0 && r.Outcome == project.OK.String() {
		u.fault(r, "missing-value", "write the value; or the outcome of a run that failed ("+words+"); or take the row out", "the row holds neither a value nor an outcome")
		return
	}
	u.fault(r, "missing-value", "give a value, or the outcome of a run that failed: "+words, "the reading has no value")
}

// failing lists the outcomes that need no value.
func failing() []string {
	return slices.DeleteFunc(project.OutcomeWords(), func(s string) bool {
		return s == project.OK.String() || s == project.Excluded.String()
	})
}

// givenIn is the unit in which readings of a workload are written down.
func givenIn(w *project.Workload) project.Unit {
	if w.Reading != nil {
		return w.RawUnit
	}
	return w.Unit
}

// splitUnit takes "14.7 fps" and "14.7fps" apart; unit is empty when text is
// not a number followed by one.
func splitUnit(text string) (value, unit string) {
	i := strings.LastIndexAny(text, "0123456789")
	if i < 0 {
		return text, ""
	}
	// A unit may end in a digit itself (m2): then the number ends earlier.
	if j := strings.IndexFunc(text, unicode.IsSpace); j > 0 && j < i && !unicode.IsDigit(firstRune(strings.TrimSpace(text[j:]))) {
		i = j - 1
	}
	number, rest := text[:i+1], strings.TrimSpace(text[i+1:])
	if _, _, ok := schema.ParseNumber(number, schema.Dialect{}); !ok || rest == "" || len(rest) > 20 {
		return text, ""
	}
	return number, rest
}

func firstRune(s string) rune {
	for _, r := range s {
		return r
	}
	return 0
}
