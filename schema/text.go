package schema

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"unicode/utf8"
)

// Limits on what a folder may hold. Each is far above what a person writes by
// hand or a bench records in a month, and low enough that a hostile folder
// costs little memory.
const (
	// LargestText is the most bytes of one YAML or Markdown file.
	LargestText = 4 << 20
	// LargestTable is the most bytes of one CSV file.
	LargestTable = 1 << 30
	// LongestLine is the most bytes of one line, and of one CSV row.
	LongestLine = 1 << 20
	// LargestMedia is the most bytes of one picture or theme file.
	LargestMedia = 64 << 20
	// MostFiles is the most files that are looked at.
	MostFiles = 20000
	// MostNodes is the most values of one YAML file, with every alias written out.
	MostNodes = 200000
	// DeepestYAML is the most levels of one YAML file, within one another.
	DeepestYAML = 40
	// DeepestFolder is the most folders within one another.
	DeepestFolder = 12
)

var byteOrderMark = []byte("\xef\xbb\xbf")

// megabytes says a limit in words.
func megabytes(n int64) string {
	if n >= 1<<30 && n%(1<<30) == 0 {
		return fmt.Sprintf("%d GiB", n>>30)
	}
	return fmt.Sprintf("%d MiB", n>>20)
}

// cannotRead is the finding for a file that the file system refuses.
func cannotRead(path string, err error) Finding {
	f := Finding{Rule: "cannot-read", Place: Place{File: path}}
	var broken *fs.PathError
	if errors.As(err, &broken) {
		err = broken.Err
	}
	switch {
	case errors.Is(err, fs.ErrPermission):
		f.Message = "cannot be opened: no permission to read it"
		f.Remedy = "give yourself the right to read the file"
	case errors.Is(err, fs.ErrNotExist):
		f.Message = "cannot be opened: there is no such file (a link that leads nowhere?)"
		f.Remedy = "put the file itself into the folder, or remove the link"
	case strings.Contains(err.Error(), "escapes"):
		f.Message = "is a link that leads out of the folder"
		f.Remedy = "put the file itself into the folder: a report must hold all that it is made of"
	default:
		f.Message = "cannot be read: " + err.Error()
		f.Remedy = "check that the file is whole and that the disk can be read"
	}
	return f
}

// tooLarge is the finding for a file over its limit.
func tooLarge(path string, limit int64, remedy string) Finding {
	return Finding{Rule: "too-large", Place: Place{File: path},
		Message: fmt.Sprintf("is larger than %s, the most that is read", megabytes(limit)), Remedy: remedy}
}

// regular looks at a file before it is opened, because opening a pipe can wait
// for ever. It reports false and a finding when the file is not to be read.
func regular(fsys fs.FS, path string, limit int64, remedy string) (Finding, bool) {
	info, err := fs.Stat(fsys, path)
	switch {
	case err != nil:
		return cannotRead(path, err), false
	case info.IsDir():
		return Finding{Rule: "cannot-read", Place: Place{File: path}, Message: "is a folder where a file belongs",
			Remedy: "rename the folder, and put a file of that name in its place"}, false
	case !info.Mode().IsRegular():
		return Finding{Rule: "cannot-read", Place: Place{File: path}, Message: "is not a regular file",
			Remedy: "put a plain file in its place"}, false
	case info.Size() > limit:
		return tooLarge(path, limit, remedy), false
	}
	return Finding{}, true
}

// readText reads a whole text file and makes sure that it is one: UTF-8, no
// NUL bytes, no line beyond the limit. A byte-order mark is taken off. The text
// comes back nil when it cannot be used; otherwise findings are harmless.
func readText(fsys fs.FS, path string) ([]byte, []Finding) {
	const remedy = "split it into smaller files, or take out what does not belong"
	if f, ok := regular(fsys, path, LargestText, remedy); !ok {
		return nil, []Finding{f}
	}
	file, err := fsys.Open(path)
	if err != nil {
		return nil, []Finding{cannotRead(path, err)}
	}
	defer file.Close()
	// A file can grow between the look and the reading.
	text, err := io.ReadAll(io.LimitReader(file, LargestText+1))
	if err != nil {
		return nil, []Finding{cannotRead(path, err)}
	}
	if len(text) > LargestText {
		return nil, []Finding{tooLarge(path, LargestText, remedy)}
	}
	if f, ok := wide(path, text); !ok {
		return nil, []Finding{f}
	}
	text = bytes.TrimPrefix(text, byteOrderMark)
	if f, ok := clean(path, text); !ok {
		return nil, []Finding{f}
	}
	return text, nil
}

// wide recognises UTF-16 and UTF-32 by their byte-order marks, or by a zero in
// every other byte of the beginning.
func wide(path string, text []byte) (Finding, bool) {
	name := ""
	switch {
	case bytes.HasPrefix(text, []byte{0xff, 0xfe}), bytes.HasPrefix(text, []byte{0xfe, 0xff}):
		name = "UTF-16"
	case bytes.HasPrefix(text, []byte{0, 0, 0xfe, 0xff}):
		name = "UTF-32"
	default:
		head := text[:min(len(text), 64)&^1]
		zeros := [2]int{}
		for i, c := range head {
			if c == 0 {
				zeros[i%2]++
			}
		}
		if half := len(head) / 2; half >= 4 && (zeros[0] > half*3/4 && zeros[1] == 0 || zeros[1] > half*3/4 && zeros[0] == 0) {
			name = "UTF-16"
		}
	}
	if name == "" {
		return Finding{}, true
	}
	return Finding{Rule: "not-utf8", Place: Place{File: path}, Message: "is written in " + name + ", not UTF-8",
		Remedy: `save the file again with the encoding "UTF-8"`}, false
}

// clean finds the first byte that no text file should hold.
func clean(path string, text []byte) (Finding, bool) {
	if i := bytes.IndexByte(text, 0); i >= 0 {
		return nulByte(placeAt(path, text, i)), false
	}
	if !utf8.Valid(text) {
		i := invalidAt(text)
		return notUTF8(placeAt(path, text, i), text[i]), false
	}
	line := 1
	for start := 0; start < len(text); line++ {
		end, next := lineEnd(text, start)
		if end-start > LongestLine {
			return longLine(Place{File: path, Line: line, Column: 1}), false
		}
		start = next
	}
	return Finding{}, true
}

func nulByte(p Place) Finding {
	return Finding{Rule: "nul-byte", Place: p, Message: "there is a NUL byte: this is not a text file, or it was damaged",
		Remedy: "save the file again as plain text in UTF-8, or restore it from a copy"}
}

func longLine(p Place) Finding {
	return Finding{Rule: "too-large", Place: p, Message: fmt.Sprintf("the line is longer than %s", megabytes(LongestLine)),
		Remedy: "check that this is the right file; no line of a report needs to be that long"}
}

// A few bytes that tell a Windows-1252 or Latin-1 file, and what they stand for there.
var oldLetters = map[byte]string{0xb0: "°", 0xb5: "µ", 0xe4: "ä", 0xf6: "ö", 0xfc: "ü", 0xdf: "ß", 0xe9: "é", 0xe8: "è",
	0xd7: "×", 0xb1: "±", 0xa3: "£", 0x80: "€", 0x96: "–", 0x92: "’", 0xa0: "a no-break space", 0xb2: "²"}

func notUTF8(p Place, b byte) Finding {
	f := Finding{Rule: "not-utf8", Place: p, Message: fmt.Sprintf("the byte 0x%02X is not UTF-8", b),
		Remedy: `save the file again with the encoding "UTF-8"`}
	if letter := oldLetters[b]; letter != "" {
		if b != 0xa0 {
			letter = `"` + letter + `"`
		}
		f.Message += fmt.Sprintf(" (it is %s in Windows-1252)", letter)
	}
	return f
}

// invalidAt gives the offset of the first byte that is not UTF-8, or len(text).
func invalidAt(text []byte) int {
	for i := 0; i < len(text); {
		if text[i] < utf8.RuneSelf {
			i++
			continue
		}
		r, n := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return len(text)
}

// lineEnd gives the end of the line that starts at start, without its line
// break, and where the next line starts. LF, CRLF and a CR alone end a line.
func lineEnd(text []byte, start int) (end, next int) {
	// One pass for both characters: a file that has only one kind of them
	// would otherwise be searched to its end for each line.
	i := bytes.IndexAny(text[start:], "\r\n")
	switch {
	case i < 0:
		return len(text), len(text)
	case text[start+i] == '\r' && start+i+1 < len(text) && text[start+i+1] == '\n':
		return start + i, start + i + 2
	}
	return start + i, start + i + 1
}

// placeAt turns an offset in bytes into line and column.
func placeAt(path string, text []byte, offset int) Place {
	line := 1
	for start := 0; ; line++ {
		end, next := lineEnd(text, start)
		if offset <= end || next >= len(text) || next <= start || offset < next {
			return Place{File: path, Line: line, Column: 1 + utf8.RuneCount(text[start:min(max(offset, start), len(text))])}
		}
		start = next
	}
}
