package project

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"benchwright/schema"
)

type conversionKey struct {
	workload int32
	unit     string
}

// conversion is how a reading in one unit becomes the workload's.
type conversion struct {
	from Unit
	// usable: the unit is known and has the right dimension.
	usable bool
	// convert: from is another unit than that of the readings; further: that
	// one is another than that of the values.
	convert, further bool
	// factors: the workload's formula names some.
	factors bool
	columns map[string]extraColumn
}

// conversionOf finds how a reading of a workload becomes its value.
func (r *rows) conversionOf(w *Workload, symbol string, column int, head Unit, stated bool) *conversion {
	last := &r.lastHow[w.Index]
	if last.how != nil && last.unit == symbol {
		if !last.how.usable {
			r.alike["wrong-dimension"]++
		}
		return last.how
	}
	how, ok := r.how[conversionKey{int32(w.Index), symbol}]
	if ok && !how.usable {
		r.alike["wrong-dimension"]++
	}
	symbol = strings.Clone(symbol) // the row is about to be used again
	if !ok {
		settled := r.conversion(w, symbol, column, head, stated)
		how = &settled
		r.how[conversionKey{int32(w.Index), symbol}] = how
	}
	*last = lastConversion{symbol, how}
	return how
}

// conversion settles, once for a workload, file and unit, how readings become
// values.
func (r *rows) conversion(w *Workload, symbol string, column int, head Unit, stated bool) conversion {
	c := conversion{from: w.RawUnit, columns: r.header.extra}
	place, width := r.place(column)
	switch {
	case symbol != "":
		var ok bool
		if c.from, ok = r.p.units.Parse(symbol); !ok {
			r.alike["wrong-dimension"]++
			r.unknownUnit(place, width, symbol)
			return c
		}
		stated = true
	case stated:
		c.from = head
		place, width = schema.Place{File: r.table.Path, Line: max(r.table.Header[column].Line, 1), Column: r.table.Header[column].Column},
			utf8.RuneCountInString(r.table.Header[column].Text)
	}
	if _, ok := c.from.Convert(1, w.RawUnit); !ok && r.room("wrong-dimension") {
		r.reportAt("wrong-dimension", schema.Error, place, width, fmt.Sprintf("readings in %s cannot be converted into %s, the unit of %q", c.from.name(), w.RawUnit.name(), w.ID),
			"write the readings in "+w.RawUnit.name()).Workloads = []string{w.ID}
		return c
	} else if !ok {
		return c
	}
	if stated && ambiguousTemperature(c.from, w.RawUnit) && r.room("wrong-dimension") {
		r.reportAt("wrong-dimension", schema.Error, place, width, fmt.Sprintf("readings in %s could be temperatures or differences of temperatures, and %q is in %s", c.from.name(), w.ID, w.RawUnit.name()),
			"write the readings in "+w.RawUnit.name()+": "+temperatureAs(c.from, w.RawUnit)).Workloads = []string{w.ID}
		return c
	}
	c.usable = w.Reading == nil || r.columnsFor(w)
	c.factors = w.Reading != nil && slices.ContainsFunc(w.Reading.terms(), func(t Term) bool { return t.Kind == FactorTerm })
	c.convert, c.further = !c.from.sameScale(w.RawUnit), !w.RawUnit.sameScale(w.Unit)
	return c
}

// unitInCell reports a number with a unit behind it, where the unit is one that
// the workload's readings cannot be in. Elsewhere the unit belongs in a column
// of its own or in the head of this one.
func (r *rows) unitInCell(w *Workload, column int, text string) bool {
	number, symbol := splitQuantity(text)
	if _, _, ok := schema.ParseNumber(number, r.table.Dialect); !ok || symbol == "" {
		return false
	}
	unit, ok := r.p.units.Parse(symbol)
	switch _, fits := unit.Convert(1, w.RawUnit); {
	case !ok:
		return false
	case !fits:
		r.fault("wrong-dimension", schema.Error, column, fmt.Sprintf("readings in %s cannot be converted into %s, the unit of %q", unit.name(), w.RawUnit.name(), w.ID),
			"write the reading in "+w.RawUnit.name()+", or name the workload that it belongs to")
	case r.header.wide:
		r.fault("not-a-number", schema.Error, column, fmt.Sprintf("%q is not a number, which a reading of %q must be", text, w.ID),
			fmt.Sprintf("write %q here, and %q at the head of the column for readings in %s", number, w.ID+" ["+symbol+"]", symbol))
	default:
		return false
	}
	return true
}

// notANumberFor says what is wrong with a text that is to be a number.
func notANumberFor(text string, d schema.Dialect, what string) string {
	if schema.TooLarge(text, d) {
		return fmt.Sprintf("%q is too large a number for %s", text, what)
	}
	return fmt.Sprintf("%q is not a number, which %s must be", text, what)
}

// columnsFor checks that the file has the columns that a conversion names, and
// that their units work out.
func (r *rows) columnsFor(w *Workload) bool {
	units := map[string]Unit{}
	named := false
	for _, t := range w.Reading.terms() {
		if t.Kind != ColumnTerm {
			continue
		}
		named = true
		extra, ok := r.header.extra[t.Name]
		if !ok {
			r.reportAt("missing-column", schema.Error, schema.Place{File: r.table.Path, Line: 1, Column: 1}, 0,
				fmt.Sprintf("readings of %q are converted with a column %q, which this file does not have", w.ID, t.Name), "add the column",
				schema.Related{Place: t.Place, Message: "named here"})
			return false
		}
		units[t.Name] = extra.unit
	}
	return !named || r.dimensions(w.Reading, node{file: r.table.Path}, w.Unit, fmt.Sprintf("the workload %q", w.ID), units)
}

// compute converts a raw reading by the workload's formula.
func (r *rows) compute(w *Workload, raw float64, how *conversion) (float64, bool) {
	bad := false
	v, ok := w.Reading.evaluate(w.Unit, func(t *Term) (float64, Unit, bool) {
		switch t.Kind {
		case ReadingTerm:
			return raw, w.RawUnit, true
		case FactorTerm:
			value := r.valueIn(int(r.config), int(r.session), t.Index)
			if value.State != Known || !value.Numeric {
				bad = true
				r.fault("missing-value", schema.Error, r.header.configuration, fmt.Sprintf("readings of %q are converted with the factor %q, which is not known in %q", w.ID, t.Name, r.p.Configurations[r.config].ID),
					"state the factor's value")
				return 0, Unit{}, false
			}
			return value.Number, t.Unit, true
		}
		column := how.columns[t.Name]
		text := r.cell(column.at)
		v, remedy, ok := schema.ParseNumber(text, r.table.Dialect)
		if !ok {
			bad = true
			r.fault("not-a-number", schema.Error, column.at, schema.NumberFault(text, r.table.Dialect)+fmt.Sprintf(", and readings of %q are converted with it", w.ID), remedy)
		}
		return v, column.unit, ok
	})
	if !ok && !bad {
		r.fault("not-a-number", schema.Error, r.header.configuration, fmt.Sprintf("the reading of %q cannot be converted: it comes out infinite", w.ID), "check for a zero that something is divided by")
	}
	return v, ok
}
