package notes

import (
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/util"
)

// frames lays out tables and headings as the site's pages need them: a table
// scrolls in a region of its own on a narrow screen, its cells are aligned by a
// class (the pages' policy forbids style attributes), a heading carries a link
// to itself.
type frames struct{ o *Options }

func (f frames) Extend(m goldmark.Markdown) {
	m.Renderer().AddOptions(renderer.WithNodeRenderers(util.Prioritized(f, 100)))
}

func (f frames) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(ast.KindHeading, f.heading)
	r.Register(east.KindTable, f.table)
	r.Register(east.KindTableCell, f.cell)
	r.Register(east.KindFootnoteList, f.footnotes)
}

func (f frames) heading(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	h := n.(*ast.Heading)
	level := string(rune('0' + h.Level))
	raw, _ := h.AttributeString("id")
	id, _ := raw.([]byte)
	var err error
	if entering {
		_, err = w.WriteString("<h" + level + ` id="` + escape(string(id)) + `">`)
		return ast.WalkContinue, err
	}
	label := strings.ReplaceAll(f.o.HeadingLink, "{heading}", plainText(h, source))
	_, err = w.WriteString(` <a class="anchor" href="#` + escape(string(id)) + `" aria-label="` + escape(label) + `">#</a></h` + level + ">\n")
	return ast.WalkContinue, err
}

func (f frames) table(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	text := "</table></div>\n"
	if entering {
		var heads []string
		if header := n.FirstChild(); header != nil {
			for cell := header.FirstChild(); cell != nil; cell = cell.NextSibling() {
				if text := plainText(cell, source); text != "" {
					heads = append(heads, text)
				}
			}
		}
		label := f.o.TableLabel
		if len(heads) > 0 {
			label += ": " + strings.Join(heads, ", ")
		}
		text = `<div class="scroll" role="region" tabindex="0" aria-label="` + escape(label) + "\"><table>\n"
	}
	_, err := w.WriteString(text)
	return ast.WalkContinue, err
}

func (f frames) cell(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	c := n.(*east.TableCell)
	tag, scope := "td", ""
	if n.Parent().Kind() == east.KindTableHeader {
		tag, scope = "th", ` scope="col"`
	}
	if !entering {
		_, err := w.WriteString("</" + tag + ">\n")
		return ast.WalkContinue, err
	}
	class := ""
	switch c.Alignment {
	case east.AlignRight:
		class = ` class="right"`
	case east.AlignCenter:
		class = ` class="centre"`
	}
	_, err := w.WriteString("<" + tag + scope + class + ">")
	return ast.WalkContinue, err
}

// footnotes heads the list with a label, so that it is a landmark with a name.
func (f frames) footnotes(w util.BufWriter, _ []byte, _ ast.Node, entering bool) (ast.WalkStatus, error) {
	text := "</ol>\n</section>\n"
	if entering {
		text = `<section class="footnotes" role="doc-endnotes" aria-label="` + escape(f.o.FootnoteLabel) + "\">\n<ol>\n"
	}
	_, err := w.WriteString(text)
	return ast.WalkContinue, err
}
