package data

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"benchwright/report"
	"benchwright/schema"
)

// largestRecord is the most bytes of a record that an old site may make us
// read: some ten million readings.
const largestRecord = 1 << 30

// Past is what an earlier edition left in its site.
type Past struct {
	record, previous []byte
	changes          changesFile
	site             fs.FS
}

// History is what this edition carries on from earlier ones.
type History struct {
	// Previous is the record of the edition before, byte for byte; nil for a
	// first one.
	Previous []byte
}

// ReadPast reads the record, the record before it, and the list of editions
// from a published site. It gives nil for a site (or an empty or missing folder)
// in which benchwright published nothing. The error says which file is not what
// benchwright writes.
func ReadPast(old fs.FS) (*Past, error) {
	record, err := readFile(old, RecordFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	p := &Past{record: record, site: old}
	p.previous, err = readFile(old, PreviousFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	text, err := readFile(old, ChangesFile)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text, &p.changes); err != nil {
		return nil, fmt.Errorf("%s is not what benchwright writes: %w", ChangesFile, err)
	}
	return p, nil
}

func readFile(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	defer f.Close()
	var text bytes.Buffer
	if info, err := f.Stat(); err == nil { // memory for it all, at once
		text.Grow(int(min(info.Size(), largestRecord)) + bytes.MinRead)
	}
	_, err = text.ReadFrom(io.LimitReader(f, largestRecord+1))
	data := text.Bytes()
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	if len(data) > largestRecord {
		return nil, fmt.Errorf("reading %s: it is larger than 1 GiB", name)
	}
	return data, nil
}

// Settle compares r with the edition before and sets r.Changes.
//
// An edition goes by its date. A site of the same date is an earlier state of
// this very edition, so that publishing twice, or correcting what was published
// in the morning, compares with the edition before that: the pages keep saying
// what is new since then. The first edition of a report becomes the one before
// as soon as something of it moves, whatever its date. past may be nil. folder
// is the one that r was made from.
func Settle(past *Past, r *report.Report, folder *schema.Folder) (History, error) {
	r.Changes = nil
	if past == nil {
		return History{}, nil
	}
	date, err := dateOf(past.record)
	if err != nil {
		return History{}, fmt.Errorf("%s: %w", RecordFile, err)
	}
	before, file, editions := past.record, RecordFile, past.changes.Editions
	sameEdition := date == r.Project.Date
	if sameEdition && past.previous != nil {
		before, file = past.previous, PreviousFile
	}
	changes, err := report.CompareRecord(before, r)
	if err != nil {
		return History{}, fmt.Errorf("%s: %w", file, err)
	}
	if file == RecordFile {
		entry := past.entry(date)
		if entry.Files, err = past.files(); err != nil {
			return History{}, err
		}
		editions = append([]edition{{PastEdition: entry}}, editions...)
	}
	if err := takeFiles(changes, r, folder, editions); err != nil {
		return History{}, err
	}
	if sameEdition && past.previous == nil && changes.Nothing {
		return History{}, nil
	}
	if sameEdition {
		last := changes
		if file == PreviousFile {
			if last, err = report.CompareRecord(past.record, r); err != nil {
				return History{}, fmt.Errorf("%s: %w", RecordFile, err)
			}
		}
		changes.SameDate = len(last.Corrected) + len(last.Excluded) + len(last.Withdrawn)
	}
	list := make([]report.PastEdition, len(editions))
	for i, e := range editions {
		list[i] = e.PastEdition
	}
	changes.TakePast(r, list)
	r.Changes = changes
	return History{Previous: before}, nil
}

// takeFiles holds the files of the folder against those of the latest of the
// earlier editions.
func takeFiles(changes *report.Changes, r *report.Report, folder *schema.Folder, editions []edition) error {
	var was []report.PublishedFile
	if len(editions) > 0 {
		was = editions[0].Files
	}
	if was == nil {
		changes.TakeFiles(r, nil, nil)
		return nil
	}
	now, err := sumsOfFiles(folder.FS, inputNames(folder))
	if err == nil {
		changes.TakeFiles(r, was, now)
	}
	return err
}

// Restore sets r.Changes as the past edition itself had it: what a verification
// compares with.
func Restore(past *Past, r *report.Report, folder *schema.Folder) (History, error) {
	r.Changes = nil
	if past.previous == nil {
		return History{}, nil
	}
	var err error
	if r.Changes, err = report.CompareRecord(past.previous, r); err != nil {
		return History{}, fmt.Errorf("%s: %w", PreviousFile, err)
	}
	if err := takeFiles(r.Changes, r, folder, past.changes.Editions); err != nil {
		return History{}, err
	}
	for i, e := range past.changes.Editions {
		if i == 0 {
			// The hash is computed again, so that a changed record shows.
			e.Record = hashOf(past.previous)
		}
		r.Changes.Past = append(r.Changes.Past, e.PastEdition)
	}
	return History{Previous: past.previous}, nil
}

// Sealed says whether the list of earlier editions is the one that its seals
// were put on: what they said, and what the folder was then, stands nowhere
// else.
func (p *Past) Sealed() error {
	var list []report.PastEdition
	for _, e := range p.changes.Editions {
		list = append(list, e.PastEdition)
	}
	for i, e := range sealed(list) {
		if published := p.changes.Editions[i]; published.Seal != e.Seal {
			return fmt.Errorf("what it says of the edition of %q, or of one before, does not agree with its seal", e.Date)
		}
	}
	return nil
}

// Record is the past edition's own record.
func (p *Past) Record() (report.Publication, error) {
	record, err := report.ReadPublication(p.record)
	if err != nil {
		return record, fmt.Errorf("%s: %w", RecordFile, err)
	}
	return record, nil
}

// entry is the line about the past edition in the list of editions.
func (p *Past) entry(date string) report.PastEdition {
	e := report.PastEdition{Date: date, Record: hashOf(p.record), Turned: []string{}, Sentences: []string{}}
	for _, s := range p.changes.Turned {
		e.Turned = append(e.Turned, s.Text)
	}
	for _, s := range p.changes.Sentences {
		e.Sentences = append(e.Sentences, s.Text)
	}
	keep := func(all []changed) (kept []report.KeptReading) {
		most := max(0, report.MostKept-len(e.Corrected)-len(e.Excluded))
		for _, x := range all[:min(most, len(all))] {
			kept = append(kept, report.KeptReading(x))
		}
		e.More += len(all) - len(kept)
		return kept
	}
	e.Corrected = keep(p.changes.Corrected)
	e.Excluded = keep(p.changes.Excluded)
	e.Withdrawn = keep(p.changes.Withdrawn)
	return e
}

func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// dateOf reads the date of a record, which stands near its beginning, without
// reading the rest.
func dateOf(record []byte) (string, error) {
	d := json.NewDecoder(bytes.NewReader(record))
	broken := func(err error) error {
		return fmt.Errorf("the record of the publication is not what benchwright writes: %w", err)
	}
	if t, err := d.Token(); err != nil {
		return "", broken(err)
	} else if t != json.Delim('{') {
		return "", broken(errors.New("it is not an object"))
	}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return "", broken(err)
		}
		var value any
		if err := d.Decode(&value); err != nil {
			return "", broken(err)
		}
		if date, ok := value.(string); key == "date" && ok {
			return date, nil
		}
	}
	return "", broken(errors.New("it has no date"))
}

// changesFile is changes.json.
type changesFile struct {
	Schema string `json:"$schema"`
	// Since is the date of the edition before; empty for a first edition.
	Since     string          `json:"since"`
	Nothing   bool            `json:"nothing"`
	Turned    []sentence      `json:"turned"`
	Sentences []sentence      `json:"sentences"`
	New       []changed       `json:"new"`
	Corrected []changed       `json:"corrected"`
	Excluded  []changed       `json:"excluded,omitempty"`
	Withdrawn []changed       `json:"withdrawn"`
	Figures   []changedFigure `json:"figures"`
	// Apart has neither a move nor an inside that says anything.
	Apart    []changedFigure `json:"apart,omitempty"`
	Editions []edition       `json:"editions"`
}

type sentence struct {
	Text string `json:"text"`
	Link string `json:"link,omitempty"`
}

type changed struct {
	Configuration string `json:"configuration"`
	Workload      string `json:"workload"`
	Session       string `json:"session,omitempty"`
	Repeat        int    `json:"repeat"`
	Was           string `json:"was,omitempty"`
	Now           string `json:"now,omitempty"`
	Reason        string `json:"reason,omitempty"`
}

type changedFigure struct {
	What   string `json:"what"`
	Was    string `json:"was"`
	Now    string `json:"now"`
	Moved  string `json:"moved,omitempty"`
	Inside bool   `json:"inside"`
	Link   string `json:"link,omitempty"`
}

// edition is an earlier edition and the seal over it and all before it: the
// SHA-256 of the seal below, a line feed, and the edition as compact JSON. A
// list in which a word was changed later does not agree with its seals.
type edition struct {
	report.PastEdition
	Seal string `json:"seal"`
}

// changes writes changes.json.
func (m *maker) changes() []byte {
	doc := changesFile{Schema: "changes.schema.json", Turned: []sentence{}, Sentences: []sentence{},
		New: []changed{}, Corrected: []changed{}, Withdrawn: []changed{}, Figures: []changedFigure{}, Editions: []edition{}}
	c := m.r.Changes
	if c == nil {
		return indented(doc)
	}
	doc.Since, doc.Nothing = c.Since, c.Nothing
	for _, s := range c.Turned {
		doc.Turned = append(doc.Turned, sentence(s))
	}
	for _, s := range c.Sentences {
		doc.Sentences = append(doc.Sentences, sentence(s))
	}
	for to, list := range map[*[]changed][]report.ChangedReading{&doc.New: c.New, &doc.Corrected: c.Corrected, &doc.Excluded: c.Excluded, &doc.Withdrawn: c.Withdrawn} {
		for _, x := range list {
			*to = append(*to, changed(x))
		}
	}
	for _, x := range c.Figures {
		doc.Figures = append(doc.Figures, changedFigure(x))
	}
	for _, x := range c.Apart {
		doc.Apart = append(doc.Apart, changedFigure(x))
	}
	doc.Editions = sealed(c.Past)
	return indented(doc)
}

// sealed adds the seals, from the oldest edition on.
func sealed(past []report.PastEdition) []edition {
	out := make([]edition, len(past))
	below := ""
	for i := len(past) - 1; i >= 0; i-- {
		e := past[i]
		e.Turned, e.Sentences = orEmpty(e.Turned), orEmpty(e.Sentences)
		text, err := json.Marshal(e)
		if err != nil { // texts and lists of texts
			panic("data: " + err.Error())
		}
		below = hashOf([]byte(below + "\n" + string(text)))
		out[i] = edition{e, below}
	}
	return out
}
