// Package notes turns Markdown notes into HTML, with live figures.
//
// In: Markdown (CommonMark with tables, footnotes, heading links and
// highlighted code) in which marks such as @{value quiet transcode} stand for
// computed figures, and a function that replaces a mark. Out: HTML, the
// headings, and faults with their places. It imports no other package of this
// module but schema, for places.
//
//	d := notes.Render(source, "notes/first.md", notes.Options{Replace: replace})
package notes

import (
	"bytes"
	"fmt"
	"html"
	"path"
	"strconv"
	"strings"
	"unicode/utf8"

	chroma "github.com/alecthomas/chroma/v2/formatters/html"
	"github.com/yuin/goldmark"
	highlighting "github.com/yuin/goldmark-highlighting/v2"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	markdown "github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/text"

	"benchwright/schema"
)

// Options say how a note is rendered.
type Options struct {
	// Replace gives the HTML for a mark. Block is set when the mark stands
	// alone in a paragraph; then the HTML replaces the paragraph. A mark that
	// it refuses is left out and reported with the error's text.
	Replace func(mark string, block bool) (html string, err error)
	// RawHTML lets HTML in the note through. Off by default: a note may come
	// from somebody else.
	RawHTML bool
	// Media is the way from the note's page to the site's root, such as "..",
	// put before pictures of the folder.
	Media string
	// Size gives the size of a picture of the folder in pixels, or noughts; nil
	// leaves every size out.
	Size func(file string) (width, height int)
	// HeadingLink is the label of the link beside a heading, with the gap {heading}.
	HeadingLink string
	// TableLabel is the label of the scrolling region around a table.
	TableLabel string
	// FootnoteLabel heads the footnotes for those who cannot see the line.
	FootnoteLabel string
}

// Heading is a heading of a note, for a table of contents.
type Heading struct {
	Level    int
	ID, Text string
}

// Document is a note as HTML, without its first heading, which is Title.
type Document struct {
	Title    string
	HTML     string
	Headings []Heading
	// Pictures are the paths, in the project folder, of the pictures shown.
	Pictures []Picture
	Faults   []Fault
}

// Picture is a picture of a note.
type Picture struct {
	File, Text string
	Place      schema.Place
}

// Fault is a mark that could not be replaced.
type Fault struct {
	Place schema.Place
	Width int
	Err   error
}

// Render turns a note into HTML. It never fails: what cannot be done is among
// the faults.
func Render(source []byte, file string, o Options) Document {
	d := Document{}
	md := goldmark.New(
		goldmark.WithExtensions(
			extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignNone)),
			extension.NewFootnote(extension.WithFootnoteBacklinkHTML("↩&#xfe0e;")),
			extension.Strikethrough,
			highlighting.NewHighlighting(
				highlighting.WithFormatOptions(chroma.WithClasses(true), chroma.TabWidth(4)),
				highlighting.WithGuessLanguage(false),
			),
			marks{},
			frames{&o},
		),
		goldmark.WithParserOptions(parser.WithAutoHeadingID()),
	)
	if o.RawHTML {
		md.Renderer().AddOptions(markdown.WithUnsafe())
	}
	root := md.Parser().Parse(text.NewReader(source))
	d.prepare(root, source, file, &o)
	var b bytes.Buffer
	if err := md.Renderer().Render(&b, source, root); err != nil {
		// The writer is memory: an error is a node that nothing renders.
		d.Faults = append(d.Faults, Fault{Place: schema.Place{File: file}, Err: fmt.Errorf("cannot be laid out: %w", err)})
	}
	d.HTML = b.String()
	return d
}

// Mark is a mark as it stands in a note.
type Mark struct {
	Text  string
	Place schema.Place
	Width int
	Block bool
}

// Prose is a run of text outside code and marks, with its place, for checks of
// what was typed by hand.
type Prose struct {
	Text  string
	Place schema.Place
}

// Scan lists the marks, pictures and prose of a note without rendering it.
func Scan(source []byte, file string) (ms []Mark, prose []Prose, pictures []Picture) {
	d := Document{}
	md := goldmark.New(goldmark.WithExtensions(extension.Table, extension.Footnote, extension.Strikethrough, marks{}))
	root := md.Parser().Parse(text.NewReader(source))
	places := newPlaces(source, file)
	walk(root, func(n ast.Node) {
		switch n := n.(type) {
		case *mark:
			ms = append(ms, Mark{n.text, places.at(n.start), n.width, n.block})
		case *ast.Text:
			if inCode(n) {
				return
			}
			prose = append(prose, Prose{string(n.Segment.Value(source)), places.at(n.Segment.Start)})
		}
	})
	d.collectPictures(root, source, places)
	return ms, prose, d.Pictures
}

func inCode(n ast.Node) bool {
	for p := n.Parent(); p != nil; p = p.Parent() {
		if p.Kind() == ast.KindCodeSpan {
			return true
		}
	}
	return false
}

// walk visits every node once, on the way in.
func walk(root ast.Node, f func(ast.Node)) {
	_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			f(n)
		}
		return ast.WalkContinue, nil // the visitor gives no error, so Walk gives none
	})
}

// prepare takes the title out, steps further first-level headings down, moves
// pictures to where the site has them and replaces the marks.
func (d *Document) prepare(root ast.Node, source []byte, file string, o *Options) {
	places := newPlaces(source, file)
	d.collectPictures(root, source, places)
	var title *ast.Heading
	walk(root, func(n ast.Node) {
		switch n := n.(type) {
		case *ast.Heading:
			if title == nil && n.Level == 1 {
				title = n
				d.Title = plainText(n, source)
				return
			}
			n.Level = max(n.Level, 2)
			id, _ := n.AttributeString("id")
			raw, _ := id.([]byte)
			d.Headings = append(d.Headings, Heading{n.Level, string(raw), plainText(n, source)})
		case *ast.Image:
			if file, ok := folderPath(string(n.Destination)); ok {
				n.Destination = []byte(strings.TrimSuffix(o.Media, "/") + "/" + file)
				if o.Size != nil {
					if w, h := o.Size(file); w > 0 && h > 0 {
						n.SetAttributeString("width", []byte(strconv.Itoa(w)))
						n.SetAttributeString("height", []byte(strconv.Itoa(h)))
					}
				}
			}
		case *mark:
			replacement, err := "", error(nil)
			if o.Replace != nil {
				replacement, err = o.Replace(n.text, n.block)
			}
			if err != nil {
				d.Faults = append(d.Faults, Fault{places.at(n.start), n.width, err})
			}
			n.html = replacement
		}
	})
	if title != nil {
		title.Parent().RemoveChild(title.Parent(), title)
	}
}

func (d *Document) collectPictures(root ast.Node, source []byte, places *places) {
	walk(root, func(n ast.Node) {
		if img, ok := n.(*ast.Image); ok {
			if file, ok := folderPath(string(img.Destination)); ok {
				d.Pictures = append(d.Pictures, Picture{file, plainText(img, source), places.near(img, source)})
			}
		}
	})
}

// folderPath gives the path of a picture in the project folder, whether it was
// written from the note's folder (../media/x.svg) or from the top (media/x.svg).
func folderPath(destination string) (string, bool) {
	if strings.Contains(destination, "://") || strings.HasPrefix(destination, "data:") || strings.HasPrefix(destination, "/") {
		return "", false
	}
	p := path.Clean(destination)
	p = strings.TrimPrefix(p, "../")
	return p, strings.HasPrefix(p, "media/")
}

// plainText joins the text below a node.
func plainText(n ast.Node, source []byte) string {
	var b strings.Builder
	walk(n, func(n ast.Node) {
		switch n := n.(type) {
		case *ast.Text:
			b.Write(n.Segment.Value(source))
			if n.SoftLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(n.Value)
		}
	})
	return b.String()
}

// places turns byte offsets into lines and columns.
type places struct {
	file   string
	source []byte
	starts []int // offset of each line
}

func newPlaces(source []byte, file string) *places {
	p := &places{file: file, source: source, starts: []int{0}}
	for i, c := range source {
		if c == '\n' {
			p.starts = append(p.starts, i+1)
		}
	}
	return p
}

func (p *places) at(offset int) schema.Place {
	offset = max(0, min(offset, len(p.source)))
	line := 0
	for line+1 < len(p.starts) && p.starts[line+1] <= offset {
		line++
	}
	return schema.Place{File: p.file, Line: line + 1, Column: utf8.RuneCount(p.source[p.starts[line]:offset]) + 1}
}

// near places a node that has no segment of its own by its first text, or by
// the block that it stands in.
func (p *places) near(n ast.Node, source []byte) schema.Place {
	found := -1
	walk(n, func(n ast.Node) {
		if t, ok := n.(*ast.Text); ok && found < 0 {
			found = t.Segment.Start
		}
	})
	for up := n; found < 0 && up != nil; up = up.Parent() {
		if up.Type() == ast.TypeBlock && up.Lines() != nil && up.Lines().Len() > 0 {
			found = up.Lines().At(0).Start
		}
	}
	return p.at(max(found, 0))
}

// escape is for text that stands in HTML.
func escape(s string) string { return html.EscapeString(s) }
