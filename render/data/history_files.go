package data

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"benchwright/report"
)

// files sums up the files that the past edition was made from, as they stand in
// its site.
func (p *Past) files() ([]report.PublishedFile, error) {
	root := strings.TrimSuffix(Inputs, "/")
	var names []string
	err := fs.WalkDir(p.site, root, func(name string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) && name == root {
			return fs.SkipAll
		}
		if err == nil && d.Type().IsRegular() {
			names = append(names, strings.TrimPrefix(name, Inputs))
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", root, err)
	}
	folder, err := fs.Sub(p.site, root)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", root, err)
	}
	return sumsOfFiles(folder, names)
}

// sumsOfFiles sums up those of the files that are texts of the report: what a theme
// and pictures are has no words, and frames are the source of readings.
func sumsOfFiles(fsys fs.FS, names []string) ([]report.PublishedFile, error) {
	var out []report.PublishedFile
	for _, name := range names {
		top, _, _ := strings.Cut(name, "/")
		switch path.Ext(name) {
		case ".yaml", ".csv", ".md":
		default:
			continue
		}
		if top == "theme" || top == "frames" {
			continue
		}
		if name == report.DatedFile {
			text, err := readFile(fsys, name)
			if err != nil {
				return nil, err
			}
			out = append(out, dated(text)...)
			continue
		}
		sum, err := sumOf(fsys, name)
		if err != nil {
			return nil, err
		}
		out = append(out, report.PublishedFile{Path: name, Sum: sum})
	}
	return out, nil
}

func sumOf(fsys fs.FS, name string) (string, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return "", fmt.Errorf("reading %s: %w", name, err)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("reading %s: %w", name, err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// dated sums up report.yaml without the line of its date, and each of its
// corrections by itself. It goes by lines, so that it reads every text, and
// takes corrections within brackets for one piece.
func dated(text []byte) []report.PublishedFile {
	var rest, gap bytes.Buffer // gap: empty lines and remarks, which say nothing before a key
	var corrections []string
	inside, indent := false, -1
	for line := range bytes.Lines(text) {
		bare := strings.TrimSpace(string(line))
		spaces := len(line) - len(bytes.TrimLeft(line, " "))
		if spaces == 0 && bare != "" && bare[0] != '#' && bare[0] != '-' {
			gap.Reset()
			inside, indent = bytes.HasPrefix(line, []byte("corrections:")), -1
			if inside {
				_, bare, _ = strings.Cut(bare, ":")
				if bare = strings.TrimSpace(bare); bare != "" && bare[0] != '#' {
					corrections = append(corrections, bare)
				}
				continue
			}
		}
		switch {
		case !inside && bytes.HasPrefix(line, []byte("date:")):
		case !inside && (bare == "" || line[0] == '#'):
			gap.Write(line)
		case !inside:
			_, _ = gap.WriteTo(&rest)
			rest.Write(line)
		case bare == "" || bare[0] == '#':
		case bare[0] == '-' && (indent < 0 || spaces == indent), len(corrections) == 0:
			indent = spaces
			corrections = append(corrections, bare)
		default:
			corrections[len(corrections)-1] += "\n" + bare
		}
	}
	out := []report.PublishedFile{{Path: report.DatedFile, Sum: hashOf(rest.Bytes())}}
	for _, c := range corrections {
		out = append(out, report.PublishedFile{Path: report.CorrectionPart, Sum: hashOf([]byte(c))})
	}
	return out
}
