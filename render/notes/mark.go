package notes

import (
	"bytes"
	"unicode/utf8"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// marks is the extension for live figures: @{…} within one line. \@{…} is
// text.
type marks struct{}

func (marks) Extend(m goldmark.Markdown) {
	// Before links and emphasis, so that nothing inside the braces is read as
	// Markdown; after code spans, in which a mark is text.
	m.Parser().AddOptions(
		parser.WithInlineParsers(util.Prioritized(markParser{}, 150)),
		parser.WithASTTransformers(util.Prioritized(markTransformer{}, 150)),
	)
	m.Renderer().AddOptions(renderer.WithNodeRenderers(util.Prioritized(markRenderer{}, 150)))
}

var kindMark = ast.NewNodeKind("Mark")

// mark is one mark in the tree.
type mark struct {
	ast.BaseInline
	text  string
	start int // offset of the @
	width int // characters of the whole mark
	block bool
	html  string
}

func (*mark) Kind() ast.NodeKind { return kindMark }

func (m *mark) Dump(source []byte, level int) {
	ast.DumpHelper(m, source, level, map[string]string{"Text": m.text}, nil)
}

type markParser struct{}

func (markParser) Trigger() []byte { return []byte{'@'} }

func (markParser) Parse(_ ast.Node, block text.Reader, _ parser.Context) ast.Node {
	line, segment := block.PeekLine()
	if len(line) < 3 || line[1] != '{' {
		return nil
	}
	end := bytes.IndexByte(line, '}')
	if end < 0 || bytes.IndexByte(line[2:end], '{') >= 0 {
		return nil
	}
	block.Advance(end + 1)
	return &mark{text: string(bytes.TrimSpace(line[2:end])), start: segment.Start, width: utf8.RuneCount(line[:end+1])}
}

// markTransformer finds the marks that stand alone in a paragraph.
type markTransformer struct{}

func (markTransformer) Transform(root *ast.Document, _ text.Reader, _ parser.Context) {
	walk(root, func(n ast.Node) {
		if n.Kind() == ast.KindParagraph && n.ChildCount() == 1 {
			if m, ok := n.FirstChild().(*mark); ok {
				m.block = true
			}
		}
	})
}

type markRenderer struct{}

func (markRenderer) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(kindMark, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			_, err := w.WriteString(n.(*mark).html)
			return ast.WalkContinue, err
		}
		return ast.WalkContinue, nil
	})
	r.Register(ast.KindParagraph, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if m, ok := n.FirstChild().(*mark); ok && m.block && n.ChildCount() == 1 && isBlock(m.html) {
			return ast.WalkContinue, nil // the mark's HTML is a block of its own
		}
		tag := "<p>"
		if !entering {
			tag = "</p>\n"
		}
		_, err := w.WriteString(tag)
		return ast.WalkContinue, err
	})
}

// isBlock says whether the HTML of a mark cannot stand inside a paragraph.
func isBlock(html string) bool {
	for _, tag := range []string{"<div", "<figure", "<table", "<section", "<p", "<ul", "<ol"} {
		if len(html) >= len(tag) && html[:len(tag)] == tag {
			return true
		}
	}
	return false
}
