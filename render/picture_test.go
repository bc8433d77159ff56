package render

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"testing"
	"testing/fstest"
)

func TestPictureSizes(t *testing.T) {
	picture := image.NewGray(image.Rect(0, 0, 40, 30))
	var asPNG, asJPEG bytes.Buffer
	if err := png.Encode(&asPNG, picture); err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(&asJPEG, picture, nil); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		data          string
		width, height int
	}{
		"a.png":     {asPNG.String(), 40, 30},
		"a.jpg":     {asJPEG.String(), 40, 30},
		"a.svg":     {`<?xml version="1.0"?><!-- x --><svg width="96px" height="64" viewBox="0 0 1 2"/>`, 96, 64},
		"box.svg":   {`<svg viewBox="0, 0, 120.4 80"/>`, 120, 80},
		"units.svg": {`<svg width="10cm" height="5cm" viewBox="0 0 300 150"/>`, 300, 150},
		"none.svg":  {`<svg/>`, 0, 0},
		"bad.svg":   {`not a drawing`, 0, 0},
		"bad.png":   {`not a picture`, 0, 0},
	} {
		s := &site{o: Options{Folder: fstest.MapFS{"media/" + name: {Data: []byte(c.data)}}}}
		if w, h := s.pictureSize("media/" + name); w != c.width || h != c.height {
			t.Errorf("%s is %d × %d, want %d × %d", name, w, h, c.width, c.height)
		}
	}
}
