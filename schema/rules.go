package schema

// Rule is one thing that this package can find wrong, by the name that its
// findings carry.
type Rule struct {
	Name string
	// Means says in a sentence what the finding says and why it matters.
	Means string
}

// Rules lists the rules of this package in alphabetical order, for the
// reference that is made from the code. Other packages have rules of their own.
func Rules() []Rule {
	return []Rule{
		{"bad-date", "A date is not a day of the calendar written year first."},
		{"bad-id", "An id holds something other than small letters, digits and hyphens, so that it could not be part of an address."},
		{"bad-pattern", "A text has not the form that its key asks for."},
		{"byte-order-mark", "A result file begins with a byte-order mark, which is left out."},
		{"cannot-read", "A file cannot be opened or read, is not a plain file, or is a link that leads out of the folder."},
		{"control-character", "A YAML file holds an invisible character that no such file may hold."},
		{"csv-ambiguous", "Separator or decimal mark of a result file cannot be told for sure, and a guess could be wrong by a factor of a thousand."},
		{"csv-columns", "A row has more or fewer cells than the header, or the header names a column twice or not at all."},
		{"csv-detected", "A result file is read with other marks than comma and point, found out from the file itself."},
		{"csv-quote", "Quotes in a result file do not open and close as they should (RFC 4180)."},
		{"duplicate-key", "A key stands twice in one mapping, so that one of its values would be lost."},
		{"duplicate-value", "An item stands twice in a list whose items must differ."},
		{"empty-file", "A file holds nothing."},
		{"empty-folder", "The project folder is empty."},
		{"empty-value", "A text, list or mapping is there but says nothing."},
		{"file-name", "A file has an ending that files of its folder should not have."},
		{"many-documents", "A YAML file holds more than one document, of which the others would go unread."},
		{"merge-key", "A YAML file uses the merge key, which is not part of YAML 1.2."},
		{"missing-file", "A file that the report needs is not there: one that every report has, or a picture or a file of frame times that it names."},
		{"missing-key", "A key that must be there is not."},
		{"not-a-report", "The folder holds files, but none of a report or of a shelf of reports."},
		{"not-allowed-value", "A value is none of those allowed, or lies outside its range."},
		{"not-utf8", "A file is not written in UTF-8."},
		{"not-yaml", "A file breaks the grammar of YAML."},
		{"nul-byte", "A text file holds a NUL byte, as damaged files and other kinds of files do."},
		{"tab", "A tab indents a line of a YAML file."},
		{"too-deep", "Values or folders lie within one another deeper than any report needs."},
		{"too-large", "A file, a line or the number of files or values is beyond the limit."},
		{"unknown-file", "A file or folder is not read, because nothing of a report has its name."},
		{"unknown-key", "A key is not one that the file knows at this place, so that its value would be ignored."},
		{"unknown-tag", "A YAML value carries a tag that means nothing in a report."},
		{"wrong-type", "A value is of another sort than its key takes: text for a number, a list for a mapping."},
	}
}
