package record

import (
	"bytes"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"

	"gopkg.in/yaml.v3"

	"benchwright/schema"
)

// Session is a session to be added to sessions.yaml. ID and Date are required.
type Session struct {
	ID, Date, Start, Place, Who, Note string
	// Values are factors as they were, in the order in which they are written:
	// id and value.
	Values      [][2]string
	Instruments []string
}

const sessionsFile = "sessions.yaml"

var plainID = regexp.MustCompile(`^[a-z0-9][a-z0-9-]*$`)

// addSession appends a session to sessions.yaml, in the file's own indentation
// and line ends, and leaves every other byte as it is.
func addSession(fsys fs.FS, s Session) (Change, []schema.Finding) {
	c := Change{Path: sessionsFile}
	if bad := s.faults(); len(bad) > 0 {
		return c, bad
	}
	old, there, bad := readOptional(fsys, sessionsFile)
	if len(bad) > 0 {
		return c, bad
	}
	if !there {
		c.New = []byte("# yaml-language-server: $schema=.schema/sessions.schema.json\n\nsessions:\n" + s.text("  ", "  ", "\n"))
		return c, nil
	}
	c.Old = old
	form, bad := formOf(old, s.ID)
	if len(bad) > 0 {
		return c, bad
	}
	var b bytes.Buffer
	b.Write(ended(old, form.end))
	if form.spaced && !bytes.HasSuffix(b.Bytes(), []byte(form.end+form.end)) {
		b.WriteString(form.end)
	}
	b.WriteString(s.text(form.indent, form.step, form.end))
	c.New = b.Bytes()
	if !onlyAdded(old, c.New, s.ID) {
		return c, []schema.Finding{s.byHand("cannot be added to without touching what stands there")}
	}
	return c, nil
}

func (s Session) faults() []schema.Finding {
	var bad []schema.Finding
	fault := func(flag, remedy, format string, values ...any) {
		bad = append(bad, finding("new-session", schema.Place{File: flag}, remedy, format, values...))
	}
	if !plainID.MatchString(s.ID) {
		fault("--new-session", "write small letters, digits and hyphens, such as third-evening", "%q cannot be an id", s.ID)
	}
	if _, err := time.Parse(time.DateOnly, s.Date); err != nil {
		fault("--date", "write it year first: --date 2031-04-09", "%q is not a day of the calendar", s.Date)
	}
	if _, err := time.Parse("15:04", s.Start); s.Start != "" && (err != nil || len(s.Start) != 5) {
		fault("--start", "write it like 09:30", "%q is not a time of day", s.Start)
	}
	for _, t := range [][2]string{{"--place", s.Place}, {"--who", s.Who}, {"--session-note", s.Note}} {
		if strings.ContainsFunc(t[1], unicode.IsControl) {
			fault(t[0], "write it in one line", "it holds a line break or another control character")
		}
	}
	for _, v := range s.Values {
		if !plainID.MatchString(v[0]) || v[1] == "" || strings.ContainsFunc(v[1], unicode.IsControl) {
			fault("--session-value", "write FACTOR=VALUE, such as room-temperature=21.5 °C", "%q cannot be a factor and its value", v[0]+"="+v[1])
		}
	}
	for _, id := range s.Instruments {
		if !plainID.MatchString(id) {
			fault("--instrument", "name an instrument of bench.yaml", "%q cannot be an id", id)
		}
	}
	return bad
}

// sessionForm is how a file writes its sessions.
type sessionForm struct {
	indent string // before a session's id
	step   string // further, before its keys
	end    string
	spaced bool // an empty line stands between two sessions
}

func formOf(text []byte, id string) (sessionForm, []schema.Finding) {
	form := sessionForm{indent: "  ", step: "  ", end: lineEnd(text)}
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil || len(doc.Content) == 0 || doc.Content[0].Kind != yaml.MappingNode {
		return form, []schema.Finding{finding("not-yaml", schema.Place{File: sessionsFile}, "benchwright check says what is wrong with it", "a session cannot be added")}
	}
	root := doc.Content[0]
	at := slices.IndexFunc(root.Content, func(n *yaml.Node) bool { return n.Value == "sessions" })
	if at < 0 || at%2 != 0 {
		return form, []schema.Finding{finding("missing-key", schema.Place{File: sessionsFile}, "begin it with a line sessions:", `it has no key "sessions"`)}
	}
	all := root.Content[at+1]
	if all.Tag == "!!null" && all.Value == "" {
		return form, nil
	}
	if all.Kind != yaml.MappingNode || all.Style&yaml.FlowStyle != 0 {
		return form, []schema.Finding{Session{ID: id}.byHand("lists its sessions in braces, to which nothing can be appended")}
	}
	lines := strings.Split(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n")
	for i := 0; i+1 < len(all.Content); i += 2 {
		key, value := all.Content[i], all.Content[i+1]
		if key.Value == id {
			return form, []schema.Finding{finding("duplicate-id", schema.Place{File: sessionsFile, Line: key.Line, Column: key.Column}, "record into it with --session "+id+", or give the new one another id", "there is a session %q already", id)}
		}
		form.indent = strings.Repeat(" ", key.Column-1)
		if value.Kind == yaml.MappingNode && value.Style&yaml.FlowStyle == 0 && len(value.Content) > 0 && value.Content[0].Column > key.Column {
			form.step = strings.Repeat(" ", value.Content[0].Column-key.Column)
		}
		if i > 0 {
			line := key.Line - 1 // of the key, from 0
			for line > 0 && strings.HasPrefix(strings.TrimSpace(lines[line-1]), "#") {
				line--
			}
			form.spaced = line > 0 && strings.TrimSpace(lines[line-1]) == ""
		}
	}
	return form, nil
}

func (s Session) byHand(message string) schema.Finding {
	return finding("cannot-append", schema.Place{File: sessionsFile}, "write the session into it by hand", "%s", message)
}

// text writes the session as lines of YAML.
func (s Session) text(indent, step, end string) string {
	text, _ := s.lines(indent, step, end)
	return text
}

// asGiven moves findings about the session, which stands at the end of the
// given text and nowhere else yet, to what it was given by.
func (s Session) asGiven(found []schema.Finding, text []byte) []schema.Finding {
	_, flags := s.lines("", "", "\n")
	first := lines(text, lineEnd(text)) - len(flags) + 1
	move := func(at *schema.Place) bool {
		if i := at.Line - first; at.File == sessionsFile && i >= 0 && i < len(flags) {
			*at = schema.Place{File: flags[i]}
			return true
		}
		return false
	}
	for i := range found {
		f := &found[i]
		if move(&f.Place) {
			f.Width, f.Excerpt, f.ExcerptColumn = 0, "", 0
		}
		for k := range f.Related {
			move(&f.Related[k].Place)
		}
	}
	return found
}

// lines is text, and the flag that each of its lines comes from.
func (s Session) lines(indent, step, end string) (text string, flags []string) {
	var b strings.Builder
	line := func(flag string, depth int, key, value string) {
		flags = append(flags, flag)
		b.WriteString(indent + strings.Repeat(step, depth) + key + ":")
		if value != "" {
			b.WriteString(" " + value)
		}
		b.WriteString(end)
	}
	line("--new-session "+s.ID, 0, s.ID, "")
	line("--date "+s.Date, 1, "date", s.Date)
	for _, t := range [][2]string{{"start", s.Start}, {"place", s.Place}, {"who", s.Who}} {
		if t[1] != "" {
			line("--"+t[0]+" "+t[1], 1, t[0], scalar(t[1]))
		}
	}
	if len(s.Values) > 0 {
		line("--session-value", 1, "values", "")
		for _, v := range s.Values {
			line("--session-value "+v[0]+"="+v[1], 2, v[0], scalar(v[1]))
		}
	}
	if len(s.Instruments) > 0 {
		line("--instrument "+strings.Join(s.Instruments, ","), 1, "instruments", "["+strings.Join(s.Instruments, ", ")+"]")
	}
	if s.Note != "" {
		line("--session-note "+s.Note, 1, "note", scalar(s.Note))
	}
	return b.String(), flags
}

var plainScalar = regexp.MustCompile(`^[\pL][\pL\pN ,.°%()/'-]*$|^-?[0-9]+([.][0-9]+)?( [\pL°%/]+)?$`)

// scalar writes a text as a YAML value in one line: plain where no reader could
// take it for anything else, in double quotes otherwise.
func scalar(text string) string {
	if plainScalar.MatchString(text) && text == strings.TrimSpace(text) && !slices.Contains([]string{"true", "false", "null", "yes", "no", "on", "off", "y", "n"}, strings.ToLower(text)) {
		return text
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(text) + `"`
}

// onlyAdded says whether two texts differ, as YAML, in one session more.
func onlyAdded(before, after []byte, id string) bool {
	type file struct {
		Sessions map[string]yaml.Node `yaml:"sessions"`
	}
	var a, b file
	if yaml.Unmarshal(before, &a) != nil || yaml.Unmarshal(after, &b) != nil || len(b.Sessions) != len(a.Sessions)+1 {
		return false
	}
	if _, ok := b.Sessions[id]; !ok {
		return false
	}
	for name, x := range a.Sessions {
		y, ok := b.Sessions[name]
		if !ok || !sameNode(&x, &y) {
			return false
		}
	}
	return true
}

func sameNode(a, b *yaml.Node) bool {
	if a.Kind != b.Kind || a.Value != b.Value || a.Tag != b.Tag || len(a.Content) != len(b.Content) {
		return false
	}
	for i := range a.Content {
		if !sameNode(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

// String names a session for messages.
func (s Session) String() string { return fmt.Sprintf("session %q of %s", s.ID, s.Date) }
