package render

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"mime"
	"path"
	"slices"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// SingleFile puts a site that Site made into one page, to send by mail: every
// page is an article of it, of which the one asked for is shown, and all are
// printed. Styles, scripts and photographs stand inside, under a policy that
// allows just these by their hashes. The drawn charts stay, the interactive
// ones are left out with their library; files to take away are linked at the
// site's address where it has one.
func SingleFile(files []File) ([]byte, error) {
	b := bundle{files: map[string][]byte{}}
	for _, f := range files {
		b.files[f.Path] = f.Data
	}
	pages := b.order(files)
	if len(pages) == 0 {
		return nil, errors.New("putting the site into one file: it has no index.html")
	}
	whole, err := html.Parse(bytes.NewReader(b.files[pages[0]]))
	if err != nil {
		return nil, fmt.Errorf("reading %q: %w", pages[0], err)
	}
	b.base = canonical(whole)
	head, body := find(whole, atom.Head), find(whole, atom.Body)
	main := find(body, atom.Main)
	attribute(find(whole, atom.Html), "data-single", "")
	drop(body, "class")
	b.rewrite(find(body, atom.Footer), "index.html")
	for _, n := range all(body, func(n *html.Node) bool { return has(n, "class", "skip") }) {
		n.Parent.RemoveChild(n) // its target would put the first page before the one shown
	}
	b.rewrite(find(body, atom.Header), "index.html")
	first := article("index.html", "overview", main)
	b.rewrite(first, "index.html")
	drop(main, "id")
	attribute(main, "class", "pages")
	main.AppendChild(first)
	for _, p := range pages[1:] {
		page, err := html.Parse(bytes.NewReader(b.files[p]))
		if err != nil {
			return nil, fmt.Errorf("reading %q: %w", p, err)
		}
		kind, _ := value(find(page, atom.Body), "class")
		a := article(p, kind, find(page, atom.Main))
		b.rewrite(a, p)
		lower(a)
		main.AppendChild(a)
	}
	b.finish(head, body)
	var out bytes.Buffer
	if err := html.Render(&out, whole); err != nil {
		return nil, fmt.Errorf("writing the one file: %w", err)
	}
	// The one boolean attribute that the pages have, as HTML writes it.
	return append(bytes.ReplaceAll(out.Bytes(), []byte(` disabled=""`), []byte(` disabled`)), '\n'), nil
}

// IsSingleFile says by the first bytes of a file, some thousands, whether it is
// one that SingleFile made.
func IsSingleFile(start []byte) bool {
	tag, _, ok := bytes.Cut(start, []byte(">")) // the doctype
	_, rest, _ := bytes.Cut(start, []byte("<html"))
	root, _, closed := bytes.Cut(rest, []byte(">"))
	return ok && closed && bytes.EqualFold(bytes.TrimSpace(tag), []byte("<!doctype html")) && bytes.Contains(root, []byte("data-single"))
}

// bundle is what goes into the one file.
type bundle struct {
	files map[string][]byte
	base  string
}

// order lists the pages as a reader would leaf through them, of which those of a
// kind that it does not know come last.
func (b *bundle) order(files []File) []string {
	var out []string
	for _, prefix := range []string{"index.html", "questions/", "workloads/", "configurations/", "compare.html", "yours.html", "method.html", "notes/", "data.html", "changes.html", "rules/"} {
		for _, f := range files {
			if strings.HasPrefix(f.Path, prefix) && strings.HasSuffix(f.Path, ".html") {
				out = append(out, f.Path)
			}
		}
	}
	if len(out) > 0 && out[0] != "index.html" {
		return nil
	}
	for _, f := range files {
		if strings.HasSuffix(f.Path, ".html") && !slices.Contains(out, f.Path) {
			out = append(out, f.Path)
		}
	}
	return out
}

// article moves what a page's main holds into an article of its own.
func article(page, kind string, main *html.Node) *html.Node {
	a := &html.Node{Type: html.ElementNode, Data: "article", DataAtom: atom.Article}
	attribute(a, "id", anchor(page, ""))
	attribute(a, "class", kind)
	for c := main.FirstChild; c != nil; c = main.FirstChild {
		main.RemoveChild(c)
		a.AppendChild(c)
	}
	return a
}

// anchor is the fragment of a page, or of a place in it. The overview's places
// keep their names, since scripts look for them.
func anchor(page, fragment string) string {
	name := strings.ReplaceAll(strings.TrimSuffix(page, ".html"), "/", "--")
	switch {
	case fragment == "":
		return "page-" + name
	case page == "index.html":
		return fragment
	}
	return name + "--" + fragment
}

// rewrite makes everything below n that stood on a page fit for the one file.
func (b *bundle) rewrite(n *html.Node, page string) {
	var unwrap, remove []*html.Node
	for _, e := range all(n, func(e *html.Node) bool { return e.Type == html.ElementNode }) {
		switch {
		case e.DataAtom == atom.Script:
			remove = append(remove, e) // data of a chart's interactive form, of search engines
			continue
		case e.DataAtom == atom.Img:
			if src, ok := value(e, "src"); ok {
				attribute(e, "src", b.inline(path.Join(path.Dir(page), src)))
				drop(e, "loading")
			}
		case e.DataAtom == atom.Nav && n.DataAtom == atom.Article:
			// Of the many lists of contents one is in sight; as landmarks they would all be.
			e.Data, e.DataAtom = "div", atom.Div
			drop(e, "aria-label")
		case has(e, "role", "region") && n.DataAtom == atom.Article:
			attribute(e, "role", "group")
		case e.Data == "a":
			if href, ok := value(e, "href"); ok && !b.follow(e, page, href) {
				unwrap = append(unwrap, e)
			}
			drop(e, "aria-current")
		}
		if e == n {
			continue
		}
		for i, a := range e.Attr {
			switch a.Key {
			case "id":
				e.Attr[i].Val = anchor(page, a.Val)
			case "for", "aria-labelledby", "aria-describedby":
				names := strings.Fields(a.Val)
				for k := range names {
					names[k] = anchor(page, names[k])
				}
				e.Attr[i].Val = strings.Join(names, " ")
			default:
				if page != "index.html" && strings.HasPrefix(a.Val, "url(#") {
					e.Attr[i].Val = "url(#" + anchor(page, strings.TrimSuffix(a.Val[len("url(#"):], ")")) + ")"
				}
			}
		}
	}
	for _, e := range remove {
		e.Parent.RemoveChild(e)
	}
	for _, e := range unwrap {
		for c := e.FirstChild; c != nil; c = e.FirstChild {
			e.RemoveChild(c)
			e.Parent.InsertBefore(c, e)
		}
		e.Parent.RemoveChild(e)
	}
}

// follow turns a link to where the one file has its target; false when it has
// none and nobody knows where the site stands.
func (b *bundle) follow(a *html.Node, page, href string) bool {
	if strings.Contains(href, "://") || strings.HasPrefix(href, "mailto:") {
		return true
	}
	target, fragment, _ := strings.Cut(href, "#")
	if target == "" {
		target = page
	} else {
		target = path.Join(path.Dir(page), target)
	}
	switch _, ok := b.files[target]; {
	case ok && target == "compare.html" && strings.Contains(fragment, "="):
		attribute(a, "data-compare", fragment)
		attribute(a, "href", "#"+anchor(target, ""))
	case ok && strings.HasSuffix(target, ".html"):
		attribute(a, "href", "#"+anchor(target, fragment))
	case b.base != "":
		attribute(a, "href", b.base+target)
		attribute(a, "rel", "external")
		drop(a, "download")
	default:
		return false
	}
	return true
}

// inline gives a file as a data address.
func (b *bundle) inline(name string) string {
	data, ok := b.files[name]
	if !ok {
		return ""
	}
	kind := mime.TypeByExtension(path.Ext(name))
	if i := slices.Index([]string{".svg", ".png", ".jpg", ".jpeg", ".webp", ".avif"}, path.Ext(name)); i >= 0 {
		// Not left to the machine's own table, which differs from one to the next.
		kind = []string{"image/svg+xml", "image/png", "image/jpeg", "image/jpeg", "image/webp", "image/avif"}[i]
	}
	return "data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(data)
}

// lower steps the heads of an article one level down, so that the file has one h1.
func lower(n *html.Node) {
	steps := map[string]string{"h1": "h2", "h2": "h3", "h3": "h4", "h4": "h5", "h5": "h6"}
	for _, e := range all(n, func(e *html.Node) bool { return steps[e.Data] != "" }) {
		e.Data = steps[e.Data]
		e.DataAtom = atom.Lookup([]byte(e.Data))
	}
}

// pagesStyle shows one article at a time, and prints all.
const pagesStyle = `@layer theme {
@media screen {
.pages > article { display: none; }
.pages > article:target, .pages > article:has(:target) { display: block; }
.pages:not(:has(:target)) > article:first-child { display: block; }
}
@media print { .pages > article + article { break-before: page; } }
article h2 { font-size: 1.3rem; }
article > .title > h2 { font-size: clamp(1.7rem, 1.2rem + 2.2vw, 2.75rem); border: 0; padding: 0; }
article > section > h3 { font-size: 1.3rem; }
article > section { margin-top: 2.75rem; }
article > section > h2, article > section > h3:first-child { border-top: var(--thick) solid var(--rule-strong); padding-top: 0.5rem; margin-bottom: 0.7rem; }
}
`

// finish puts style and scripts into the file and allows them by their hashes.
func (b *bundle) finish(head, body *html.Node) {
	for _, e := range all(head, func(e *html.Node) bool {
		return e.DataAtom == atom.Link && !has(e, "rel", "canonical") || e.DataAtom == atom.Script
	}) {
		head.RemoveChild(e)
	}
	style := string(b.files["assets/style.css"]) + pagesStyle
	hashes := []string{}
	insert := func(parent *html.Node, name, text string) string {
		e := &html.Node{Type: html.ElementNode, Data: name, DataAtom: atom.Lookup([]byte(name))}
		e.AppendChild(&html.Node{Type: html.TextNode, Data: text})
		parent.AppendChild(e)
		sum := sha256.Sum256([]byte(text))
		return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	styleHash := insert(head, "style", style)
	for _, name := range []string{"figures.js", "figures.data.js", "page.js", "compare.js", "yours.js"} {
		if text, ok := b.files["assets/"+name]; ok {
			hashes = append(hashes, insert(body, "script", string(text)))
		}
	}
	for _, e := range all(head, func(e *html.Node) bool { return has(e, "http-equiv", "Content-Security-Policy") }) {
		attribute(e, "content", "default-src 'none'; script-src "+strings.Join(hashes, " ")+"; style-src "+styleHash+"; img-src data:; base-uri 'none'; form-action 'none'")
	}
}

// canonical is the site's address, from the overview's own link to it.
func canonical(n *html.Node) string {
	for _, e := range all(n, func(e *html.Node) bool { return e.DataAtom == atom.Link && has(e, "rel", "canonical") }) {
		href, _ := value(e, "href")
		return href
	}
	return ""
}

// all lists the nodes below n, and n, that match, in document order.
func all(n *html.Node, match func(*html.Node) bool) []*html.Node {
	var out []*html.Node
	if match(n) {
		out = append(out, n)
	}
	for e := range n.Descendants() {
		if match(e) {
			out = append(out, e)
		}
	}
	return out
}

// find gives the first element of a kind; pages of this package have it.
func find(n *html.Node, kind atom.Atom) *html.Node {
	for e := range n.Descendants() {
		if e.DataAtom == kind {
			return e
		}
	}
	// A theme of one's own may have left it out: an empty one stands in.
	e := &html.Node{Type: html.ElementNode, Data: kind.String(), DataAtom: kind}
	n.AppendChild(e)
	return e
}

func value(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

func has(n *html.Node, key, want string) bool {
	v, ok := value(n, key)
	return n.Type == html.ElementNode && ok && v == want
}

func attribute(n *html.Node, key, v string) {
	for i := range n.Attr {
		if n.Attr[i].Key == key {
			n.Attr[i].Val = v
			return
		}
	}
	n.Attr = append(n.Attr, html.Attribute{Key: key, Val: v})
}

func drop(n *html.Node, key string) {
	n.Attr = slices.DeleteFunc(n.Attr, func(a html.Attribute) bool { return a.Key == key })
}
