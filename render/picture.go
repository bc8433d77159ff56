package render

import (
	"bytes"
	"encoding/xml"
	"image"
	_ "image/jpeg" // the kinds of photograph whose size is read
	_ "image/png"
	"io/fs"
	"math"
	"strconv"
	"strings"

	_ "golang.org/x/image/webp"
)

// pictureSize gives the size of a picture of the folder in pixels, so that a
// page can keep its place before it has come; noughts when it cannot be told.
func (s *site) pictureSize(file string) (width, height int) {
	if s.o.Folder == nil {
		return 0, 0
	}
	data, err := fs.ReadFile(s.o.Folder, file)
	if err != nil {
		return 0, 0
	}
	if strings.HasSuffix(strings.ToLower(file), ".svg") {
		return drawingSize(data)
	}
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return 0, 0
	}
	return c.Width, c.Height
}

// drawingSize reads the size of an SVG from its root: width and height in
// pixels where both are given so, otherwise those of its view box.
func drawingSize(data []byte) (width, height int) {
	d := xml.NewDecoder(bytes.NewReader(data))
	d.Strict = false
	for {
		t, err := d.Token()
		if err != nil {
			return 0, 0
		}
		root, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		var w, h float64
		var box []string
		for _, a := range root.Attr {
			switch a.Name.Local {
			case "width":
				w = pixels(a.Value)
			case "height":
				h = pixels(a.Value)
			case "viewBox":
				box = strings.FieldsFunc(a.Value, func(r rune) bool { return r == ' ' || r == ',' })
			}
		}
		if (w == 0 || h == 0) && len(box) == 4 {
			w, h = pixels(box[2]), pixels(box[3])
		}
		if w == 0 || h == 0 {
			return 0, 0
		}
		return int(math.Round(w)), int(math.Round(h))
	}
}

// pixels reads a length in pixels; other units give nought.
func pixels(s string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(s), "px"), 64)
	if err != nil || !(v >= 1) || v > 1e5 {
		return 0
	}
	return v
}
