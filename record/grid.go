package record

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"benchwright/project"
	"benchwright/schema"
)

// Bounds on a spreadsheet: an archive may unpack to far more than it weighs,
// and a sheet may claim more cells than anybody filled in.
const (
	largestBook = 64 << 20 // bytes, unpacked
	mostRows    = 10_000
	mostColumns = 1_000
	mostCells   = 500_000
	mostMerged  = 2_000 // ranges
)

// FromGrid reads the usual hand-made grid of a spreadsheet (xlsx):
// configurations down, workloads across, repeats beside each other.
//
// The first row with a workload's name is the header. A name stands over its
// repeats: over the cells that are merged with it, or over the columns up to
// the next title. A second header row may number the repeats and give units;
// columns with another title there (mean, spread) are passed over, as columns
// are everywhere that are computed or hold no readings. One that holds readings
// under a title that says nothing to the tool is refused: they would be lost. A
// configuration stands in a column left of the readings; rows that are merged
// with its cell are its further repeats. A reading's cell without a number is
// an outcome ("hung"), or is passed over when empty; a formula is refused,
// because it is computed and not read. Configurations and workloads may be
// named by id, by label, or as the mapping says.
func FromGrid(p *project.Project, r io.Reader, name, sheet, session string, m Mapping) ([]Reading, []schema.Finding) {
	fail := func(remedy, format string, values ...any) ([]Reading, []schema.Finding) {
		return nil, []schema.Finding{finding("cannot-read", schema.Place{File: name}, remedy, format, values...)}
	}
	f, err := openBook(r)
	if err != nil {
		return fail("save it as .xlsx, without a password", "is not a spreadsheet that can be read: %v", err)
	}
	defer f.Close()
	if sheet == "" {
		sheet = f.GetSheetName(f.GetActiveSheetIndex())
	}
	g := &grid{p: p, f: f, name: name, sheet: sheet, session: session, m: m, names: namesOf(p, m)}
	if session == "" {
		g.session = m.Session
	}
	if err := g.read(); err != nil {
		var missing excelize.ErrSheetNotExist
		if errors.As(err, &missing) {
			return fail("its sheets are "+strings.Join(f.GetSheetList(), ", "), "there is no sheet %q", sheet)
		}
		return fail("", "sheet %q cannot be read: %v", sheet, err)
	}
	header := g.findHeader()
	if header < 0 {
		return nil, []schema.Finding{finding("no-header", schema.Place{File: name}, "write the ids or labels of workloads over the columns", "no row of sheet %q names a workload", sheet)}
	}
	from := header + 1
	if g.subHeader(from) {
		from++
	}
	for i := from; i < len(g.rows); i++ {
		g.row(i)
	}
	g.unknownColumns(header)
	if len(g.bad) == 0 && len(g.out) == 0 {
		g.fault(schema.Place{File: name}, "no-match", "fill in the values", "no reading was found in sheet %q", sheet)
	}
	return g.out, folded(g.bad)
}

// openBook opens a spreadsheet. The library is given files from anywhere; a
// panic of it on a damaged one is an error like any other.
func openBook(r io.Reader) (f *excelize.File, err error) {
	defer recovered(&err)
	f, err = excelize.OpenReader(r, excelize.Options{UnzipSizeLimit: largestBook, UnzipXMLSizeLimit: largestBook})
	if err != nil {
		return nil, err
	}
	// The library compares every merged range with every other.
	f.Pkg.Range(func(_, part any) bool {
		if text, ok := part.([]byte); ok && bytes.Count(text, []byte("mergeCell")) > mostMerged {
			err = fmt.Errorf("a sheet has more than %d merged ranges", mostMerged)
		}
		return err == nil
	})
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

func recovered(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("damaged: %v", p)
	}
}

// area is a merged range, in columns and rows from 0.
type area struct{ left, top, right, bottom int }

// gridColumn is what a column of the grid holds.
type gridColumn struct {
	workload string // id, empty for none
	unit     string
	// title of what is no workload, in the cell at; empty when it may be passed
	// over.
	title string
	at    [2]int // column and row
}

type grid struct {
	p       *project.Project
	f       *excelize.File
	name    string
	sheet   string
	session string
	m       Mapping
	names   names
	rows    [][]string
	merged  map[[2]int]area // by every cell (column, row) of a merged range
	columns []gridColumn
	strays  map[[2]int]stray // by the cell of the title
	current string           // the configuration of the row before
	repeats map[[2]string]int
	out     []Reading
	bad     []schema.Finding
}

func (g *grid) fault(at schema.Place, rule, remedy, format string, values ...any) {
	g.bad = append(g.bad, finding(rule, at, remedy, format, values...))
}

// read takes the cells out of the sheet.
func (g *grid) read() (err error) {
	defer recovered(&err)
	rows, err := g.f.Rows(g.sheet)
	if err != nil {
		return err
	}
	defer rows.Close()
	total := 0
	for rows.Next() {
		cells, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return err
		}
		// What follows reads the whole sheet into memory, with every cell up to
		// the last of each row: a small file can claim billions.
		total += len(cells)
		switch {
		case len(g.rows) >= mostRows:
			return fmt.Errorf("it has more than %d rows; save it as CSV", mostRows)
		case len(cells) > mostColumns:
			return fmt.Errorf("row %d has more than %d columns", len(g.rows)+1, mostColumns)
		case total > mostCells:
			return fmt.Errorf("it has more than %d cells; save it as CSV", mostCells)
		}
		g.rows = append(g.rows, cells)
	}
	if err := rows.Error(); err != nil {
		return err
	}
	g.merged, g.repeats = map[[2]int]area{}, map[[2]string]int{}
	ranges, err := g.f.GetMergeCells(g.sheet, true)
	if err != nil {
		return err
	}
	for _, r := range ranges {
		left, top, err1 := excelize.CellNameToCoordinates(r.GetStartAxis())
		right, bottom, err2 := excelize.CellNameToCoordinates(r.GetEndAxis())
		if err1 != nil || err2 != nil {
			continue
		}
		a := area{left - 1, top - 1, min(right, mostColumns) - 1, min(bottom, len(g.rows)) - 1}
		for y := a.top; y <= a.bottom && len(g.merged) < mostCells; y++ {
			for x := a.left; x <= a.right; x++ {
				g.merged[[2]int{x, y}] = a
			}
		}
	}
	return nil
}

// text is a cell's text; that of a merged range is its first cell's.
func (g *grid) text(column, row int) string {
	if a, ok := g.merged[[2]int{column, row}]; ok {
		column, row = a.left, a.top
	}
	if row < 0 || row >= len(g.rows) || column >= len(g.rows[row]) {
		return ""
	}
	return strings.TrimSpace(g.rows[row][column])
}

// findHeader looks for the row of workloads and notes what each column holds.
func (g *grid) findHeader() int {
	width := 0
	for _, row := range g.rows {
		width = max(width, len(row))
	}
	for i := range g.rows {
		found := false
		g.columns = make([]gridColumn, width)
		current, end := gridColumn{}, -1 // end: the last column of a merged title
		for k := range width {
			text := g.text(k, i)
			title, unit := headingUnit(text)
			id, isWorkload := g.names.workloads[fold(title)]
			if !isWorkload {
				id, isWorkload = g.names.workloads[fold(text)]
			}
			if to, mapped := g.m.Columns[text]; mapped {
				id, isWorkload = to, g.p.Workload(to) != nil
			}
			a, isMerged := g.merged[[2]int{k, i}]
			switch {
			case isWorkload && (!isMerged || a.left == k):
				current = gridColumn{workload: id}
				if _, ok := g.p.Unit(unit); ok && unit != "" {
					current.unit = unit
				}
				end = -1
				if isMerged {
					end = a.right
				}
				found = true
			case isMerged && a.left < k: // further columns of the title
			case text != "" && !isRepeatTitle(text):
				current, end = gridColumn{}, -1
				if !g.passedOver(text) {
					current.title, current.at = text, [2]int{k, i}
				}
				if isMerged {
					end = a.right
				}
			case end >= 0 && k > end:
				current, end = gridColumn{}, -1
			}
			g.columns[k] = current
		}
		if found {
			return i
		}
	}
	return -1
}

// subHeader reads a row of repeat numbers, units and titles such as "mean"
// below the workloads, when that is what the row is.
func (g *grid) subHeader(i int) bool {
	if i >= len(g.rows) {
		return false
	}
	words, counted, label := 0, 0, false
	position := 0 // among the columns of a workload
	for k := range g.columns {
		if position++; k == 0 || g.columns[k].workload != g.columns[k-1].workload {
			position = 1
		}
		text := g.text(k, i)
		if text == "" {
			continue
		}
		if g.columns[k].workload == "" {
			if _, ok := g.names.configurations[fold(text)]; ok {
				return false
			}
			label = true
			continue
		}
		if _, ok := outcomeOf(text); ok {
			return false
		}
		if !isReading(text) {
			words++
			continue
		}
		// Numbers are titles only when they count: 1, 2, 3.
		if text != strconv.Itoa(position) {
			return false
		}
		counted = max(counted, position)
	}
	if words == 0 && (counted == 0 || counted == 1 && label) {
		return false
	}
	for k := range g.columns {
		if g.columns[k].workload == "" {
			continue
		}
		switch text := g.text(k, i); {
		case text == "" || isRepeatTitle(text):
		default:
			if _, ok := g.p.Unit(strings.Trim(text, "[]()")); ok {
				g.columns[k].unit = strings.Trim(text, "[]()")
			} else {
				g.columns[k] = gridColumn{} // mean, spread, remarks
				if !g.passedOver(text) {
					g.columns[k].title, g.columns[k].at = text, [2]int{k, i}
				}
			}
		}
	}
	return true
}

func isReading(text string) bool {
	_, err := strconv.ParseFloat(text, 64)
	return err == nil
}

// row takes the readings of one row.
func (g *grid) row(i int) {
	first := -1 // column with something to read
	for k := range g.columns {
		if g.columns[k].workload != "" && g.text(k, i) != "" {
			first = k
			break
		}
	}
	id, label, at := "", "", 0
	for k := range g.columns {
		if g.columns[k].workload != "" {
			break
		}
		if text := g.text(k, i); text != "" {
			if label == "" {
				label, at = text, k
			}
			if found, ok := g.names.configurations[fold(text)]; ok && id == "" {
				id, label, at = found, text, k
			}
		}
	}
	switch {
	case id != "":
	case first < 0:
		return // a remark, a rule, an empty row
	case label == "":
		g.fault(g.place(first, i), "missing-value", "write the configuration in front of it, or merge its cell over all its rows", "row %d holds a reading but names no configuration", i+1)
		return
	default:
		var known []string
		for k := range g.names.configurations {
			known = append(known, k)
		}
		remedy := "use its id or label, or say under configurations in record.yaml what it is called here"
		if near := schema.Nearest(fold(label), known); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", g.names.configurations[near])
		}
		g.fault(g.place(at, i), "unknown-id", remedy, "there is no configuration %q", label)
		return
	}
	for k, c := range g.columns {
		if c.workload != "" {
			g.cell(id, c, k, i)
		} else if c.title != "" {
			g.stray(c, k, i)
		}
	}
}

// stray is a column that holds readings of no workload that is known.
type stray struct {
	title, axis, text string // axis and text are of the first reading
}

// stray notes a reading under a title that says nothing to the tool.
func (g *grid) stray(c gridColumn, k, i int) {
	text := g.text(k, i)
	axis, err := excelize.CoordinatesToCellName(k+1, i+1)
	_, there := g.strays[c.at]
	if there || text == "" || err != nil || !g.looksRead(axis, text) {
		return
	}
	if g.strays == nil {
		g.strays = map[[2]int]stray{}
	}
	g.strays[c.at] = stray{c.title, axis, text}
}

// looksRead says whether a cell holds what could be a reading: a number, with
// its unit or without, or how a run ended. A day is shown as none, a formula is
// computed, and the name of a configuration may well be a number.
func (g *grid) looksRead(axis, text string) bool {
	if _, ok := g.names.configurations[fold(text)]; ok || g.formula(axis) != "" {
		return false
	}
	if _, ok := outcomeOf(text); ok {
		return true
	}
	if shown := g.shown(axis); shown != "" {
		text = shown
	}
	if strings.ContainsAny(text, ",") {
		text = strings.Replace(text, ",", ".", 1)
	}
	number, unit := splitUnit(text)
	if _, known := g.p.Unit(unit); unit != "" && !known {
		return false // "2 fans"
	}
	_, _, ok := schema.ParseNumber(number, schema.Dialect{})
	return ok
}

// titlesPassedOver are those of columns that are computed, count, or remark.
var titlesPassedOver = []string{
	"mean", "average", "avg", "median", "spread", "sd", "stdev", "std dev", "standard deviation", "min", "minimum", "max", "maximum", "range", "cv",
	"run", "runs", "repeats", "number", "no", "nr", "n", "#", "date", "notes", "remark", "remarks", "comment", "comments",
}

// passedOver says whether a column with a title that names no workload is known
// to hold no readings: one that titlesPassedOver or the form of result files
// name, one that describes the configuration by a factor, or one that the
// mapping does not list although it is made for this grid.
func (g *grid) passedOver(title string) bool {
	if _, mapped := g.m.Columns[title]; mapped {
		return true
	}
	plain, _ := headingUnit(title)
	word := strings.TrimSuffix(fold(plain), ".")
	if slices.Contains(titlesPassedOver, word) || word != "value" && word != "workload" && slices.Contains(meanings[:], word) {
		return true
	}
	for _, f := range g.p.Factors {
		if word == f.ID || word == fold(f.Label) {
			return true
		}
	}
	return false
}

// mappedHere says whether the mapping lists the columns of this grid, all of
// them by titles that it has: then what it leaves out is meant to be left out,
// as in a table. One made for another table says nothing about this one.
func (g *grid) mappedHere(header int) bool {
	titles := map[string]bool{}
	for k := range g.columns {
		titles[g.text(k, header)] = true
		titles[g.text(k, header+1)] = true
	}
	for column := range g.m.Columns {
		if !titles[column] {
			return false
		}
	}
	return len(g.m.Columns) > 0
}

// unknownColumns refuses columns of readings that no workload is named over.
func (g *grid) unknownColumns(header int) {
	if len(g.strays) == 0 || g.mappedHere(header) {
		return
	}
	// For examples that can be followed: a column that is read already, and a
	// workload that has none.
	read, id := "", ""
	has := map[string]bool{}
	for k, c := range g.columns {
		if c.workload != "" && g.text(k, header) != "" && read == "" {
			read, id = g.text(k, header), c.workload
		}
		has[c.workload] = true
	}
	workloads := (&mappingReader{p: g.p}).workloads()
	free := id
	if i := slices.IndexFunc(workloads, func(w string) bool { return !has[w] }); i >= 0 {
		free = workloads[i]
	}
	for at, s := range g.strays {
		example, meant := free, ""
		if near := schema.Nearest(fold(withoutUnit(s.title)), workloads); near != "" {
			example, meant = near, fmt.Sprintf("did you mean %q? Or ", near)
		}
		list := workloads
		if more := len(list) - mostColumnsNamed; more > 0 {
			list = append(slices.Clone(list[:mostColumnsNamed]), fmt.Sprintf("%d more", more))
		}
		g.fault(g.place(at[0], at[1]), "unknown-column",
			fmt.Sprintf("%sname its workload there (%s), or in record.yaml: mappings: {grid: {workloads: {%s: %s}}}; to leave the column out, list there those to be read: mappings: {grid: {columns: {%s: %s}}}; and name that with --mapping grid",
				meant, strings.Join(list, ", "), scalar(short(withoutUnit(s.title))), example, scalar(short(read)), id),
			"the column %q holds readings (%s: %s) but names no workload that is known", short(s.title), s.axis, short(s.text))
	}
}

// cell takes one reading.
func (g *grid) cell(configuration string, c gridColumn, k, i int) {
	text := g.text(k, i)
	at := g.place(k, i)
	axis, err := excelize.CoordinatesToCellName(k+1, i+1)
	if err != nil {
		return
	}
	if formula := g.formula(axis); formula != "" {
		g.fault(at, "formula", "give the column a title such as mean, so that it is passed over, or write down what was read", "the cell holds a formula (=%s), not a reading", short(formula))
		return
	}
	if text == "" {
		return
	}
	if a, ok := g.merged[[2]int{k, i}]; ok && (a.left != k || a.top != i) {
		return // the rest of a merged cell is no further reading
	}
	r := Reading{Configuration: configuration, Workload: c.workload, Session: g.session, Unit: c.unit, At: at, OrderOpen: !g.m.InOrder, source: gridCell}
	if word, ok := outcomeOf(text); ok {
		r.Outcome = word
	} else if shown, remedy := g.madeAnother(axis, text, &r); shown != "" {
		g.fault(at, "not-a-number", remedy, "%s", shown)
		return
	} else if r.Value != "" { // a per cent
	} else if v, ok := g.value(axis, text); ok {
		r.Value = v
	} else {
		r.Value = text // refused with its place
	}
	g.out = append(g.out, r)
}

// madeAnother says of a cell with a number what the spreadsheet made of it by
// its format: a date, or a per cent, which is a hundredth of what is shown. A per
// cent of a workload in that unit is taken as it is shown.
func (g *grid) madeAnother(axis, raw string, r *Reading) (fault, remedy string) {
	if _, err := strconv.ParseFloat(raw, 64); err != nil {
		return "", ""
	}
	date, percent := g.format(axis)
	shown := g.shown(axis)
	switch {
	case date:
		return fmt.Sprintf("the spreadsheet made a date of the cell (%s), which stands for the number %s", short(shown), short(raw)), "give the cell the format of a number and enter again what was read"
	case percent:
		unit := r.Unit
		if w := g.p.Workload(r.Workload); unit == "" && w != nil {
			unit = givenIn(w).Symbol
		}
		number, ok := strings.CutSuffix(shown, "%")
		if number = strings.TrimSpace(number); ok && unit == "%" {
			if _, _, good := schema.ParseNumber(number, schema.Dialect{}); good {
				r.Value = number
				return "", ""
			}
		}
		return fmt.Sprintf("the cell is shown as %s, and its workload is in %s", short(shown), unit), "give the cell the format of a number and enter again what was read"
	}
	return "", ""
}

// quotedInFormat is what a number format shows as it stands, or says of colours
// and languages; hours, minutes and seconds stand in brackets too.
var quotedInFormat = regexp.MustCompile(`"[^"]*"|\\.|_.|\*.|\[[^\]hms][^\]]*\]`)

// format says whether a cell is shown as a date or time, or as a per cent. The
// numbers of formats are those of ECMA-376 part 1, 18.8.30 (from memory).
func (g *grid) format(axis string) (date, percent bool) {
	var err error
	defer recovered(&err)
	index, err := g.f.GetCellStyle(g.sheet, axis)
	if err != nil {
		return false, false
	}
	style, err := g.f.GetStyle(index)
	if err != nil {
		return false, false
	}
	if style.CustomNumFmt != nil {
		plain := strings.ToLower(quotedInFormat.ReplaceAllString(*style.CustomNumFmt, ""))
		if strings.Contains(plain, "general") {
			return false, false
		}
		return strings.ContainsAny(plain, "dmyhs"), strings.Contains(plain, "%")
	}
	n := style.NumFmt
	return n >= 14 && n <= 22 || n >= 27 && n <= 36 || n >= 45 && n <= 47 || n >= 50 && n <= 58, n == 9 || n == 10
}

func (g *grid) formula(axis string) (formula string) {
	var err error
	defer recovered(&err)
	formula, err = g.f.GetCellFormula(g.sheet, axis)
	if err != nil {
		return ""
	}
	return formula
}

// value gives the number of a cell as text: as it is shown when that is the
// whole number, so that trailing noughts stay, otherwise with the 15 digits
// that spreadsheets keep.
func (g *grid) value(axis, raw string) (text string, ok bool) {
	if g.m.Dialect != nil && g.m.Dialect.Decimal == ',' {
		if _, _, ok := schema.ParseNumber(raw, *g.m.Dialect); ok && strings.Contains(raw, ",") {
			return strings.Replace(raw, ",", ".", 1), true
		}
	}
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return "", false
	}
	if strings.ContainsAny(raw, "xXpP_") { // hexadecimal, as text
		return "", false
	}
	exact := strconv.FormatFloat(v, 'g', 15, 64)
	w, err := strconv.ParseFloat(exact, 64)
	if err != nil {
		return "", false
	}
	if shown := g.shown(axis); shown != "" {
		if x, _, ok := schema.ParseNumber(shown, schema.Dialect{}); ok && x == w {
			return shown, true
		}
	}
	return strconv.FormatFloat(w, 'f', -1, 64), true
}

func (g *grid) shown(axis string) (text string) {
	var err error
	defer recovered(&err)
	text, err = g.f.GetCellValue(g.sheet, axis)
	if err != nil {
		return ""
	}
	return strings.TrimSpace(text)
}

// isRepeatTitle says whether a heading only numbers a repeat: "2", "run 2", "#2".
func isRepeatTitle(s string) bool {
	digits := strings.TrimLeft(strings.ToLower(s), "abcdefghijklmnopqrstuvwxyz#. ")
	return digits != "" && strings.Trim(digits, "0123456789") == "" && len(digits) <= 2
}

func (g *grid) place(column, row int) schema.Place {
	cell, err := excelize.CoordinatesToCellName(column+1, row+1)
	if err != nil {
		return schema.Place{File: g.name, Line: row + 1}
	}
	return schema.Place{File: g.name + "!" + cell}
}

// short cuts a text for a message.
func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:39]) + "…"
	}
	return s
}
