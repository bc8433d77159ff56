package edition

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"fmt"
	"strings"
	"testing"
)

// sparse is a tar.gz archive of one file of the given length without a byte in
// it (pax, "GNU.sparse" records of version 1.0), which archive/tar does not write.
func sparse(t *testing.T, length int64) []byte {
	t.Helper()
	record := func(key, value string) string {
		for n := len(key) + len(value) + 3; ; n++ {
			if text := fmt.Sprintf("%d %s=%s\n", n, key, value); len(text) == n {
				return text
			}
		}
	}
	block := func(kind byte, name string, size int) []byte {
		b := make([]byte, 512)
		copy(b, name)
		copy(b[100:], "0000644\x00")
		copy(b[108:], "0000000\x000000000\x00")
		copy(b[124:], fmt.Sprintf("%011o\x00", size))
		copy(b[136:], "00000000000\x00")
		b[156] = kind
		copy(b[257:], "ustar\x0000")
		copy(b[148:], "        ")
		sum := 0
		for _, c := range b {
			sum += int(c)
		}
		copy(b[148:], fmt.Sprintf("%06o\x00 ", sum))
		return b
	}
	padded := func(text string) []byte { return append([]byte(text), make([]byte, 512-len(text)%512)...) }
	records := record("GNU.sparse.major", "1") + record("GNU.sparse.minor", "0") + record("GNU.sparse.name", "data/readings.csv") + record("GNU.sparse.realsize", fmt.Sprint(length))
	var out bytes.Buffer
	g := gzip.NewWriter(&out)
	for _, part := range [][]byte{block('x', "pax", len(records)), padded(records), block('0', "sparse", 512), padded("0\n"), make([]byte, 1024)} {
		if _, err := g.Write(part); err != nil {
			t.Fatal(err)
		}
	}
	if err := g.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// A few bytes can stand for a file of any length.
func TestASparseArchiveIsBounded(t *testing.T) {
	const most = 1 << 20
	small := sparse(t, most/2)
	g, err := gzip.NewReader(bytes.NewReader(small))
	if err != nil {
		t.Fatal(err)
	}
	h, err := tar.NewReader(g).Next()
	if err != nil || h.Name != "data/readings.csv" || h.Size != most/2 {
		t.Fatalf("%+v, %v: that is no sparse file", h, err)
	}
	if _, err := unpack(bytes.NewReader(small), most); err != nil {
		t.Errorf("half of what may be: %v", err)
	}
	if _, err := unpack(bytes.NewReader(sparse(t, most+1)), most); err == nil {
		t.Error("more than may be was unpacked")
	}
	huge := sparse(t, 1<<40)
	if _, err := OpenArchive(bytes.NewReader(huge), int64(len(huge))); err == nil || !strings.Contains(err.Error(), "more than 2 GiB") {
		t.Errorf("a tebibyte: %v", err)
	}
}
