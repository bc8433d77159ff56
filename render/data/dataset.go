package data

import (
	"encoding/json"
	"path"
	"strconv"
	"strings"

	"benchwright/report"
	"benchwright/words"
)

// Dataset describes the data for search engines: a schema.org Dataset as
// JSON-LD. files are those that Files listed; the tables and JSON files of the
// report itself are listed, its inputs are not. Addresses are relative to the
// root of the site, unless there is a base address. The text is safe inside a
// script element: < > and & are written as escapes.
func Dataset(r *report.Report, files []Listed, baseAddress string) []byte {
	p := r.Project
	m := maker{r: r, book: words.For(r.Language), base: BaseAddress(r, baseAddress)}
	d := dataset{
		Context: "https://schema.org/", Type: "Dataset", Name: p.Title, Description: m.description(),
		InLanguage: r.Language, DatePublished: p.Date, Version: p.Date, IsAccessibleForFree: true, URL: m.base + "data.html",
		MeasurementTechnique: m.base + "method.html",
	}
	for _, id := range licenceIDs(p.Licence) {
		d.Licence = append(d.Licence, licencePage(id))
	}
	for _, a := range p.Authors {
		// Whether an author is a person or a workshop is not known.
		d.Creator = append(d.Creator, thing{Type: "Person", Name: a.Name, URL: a.URL})
	}
	if c := r.Counts; c.FirstDate != "" {
		d.TemporalCoverage = c.FirstDate
		if c.LastDate != c.FirstDate {
			d.TemporalCoverage += "/" + c.LastDate
		}
	}
	for _, w := range p.Workloads {
		d.VariableMeasured = append(d.VariableMeasured, variable{Type: "PropertyValue", Name: w.Label, Description: w.Metric, UnitText: w.Unit.Symbol})
	}
	for _, f := range files {
		if strings.HasPrefix(f.Path, Inputs) || strings.HasSuffix(f.Path, ".schema.json") || f.Path == TemplateFile {
			continue
		}
		ending := strings.TrimPrefix(path.Ext(f.Path), ".")
		if ending != "csv" && ending != "json" {
			continue
		}
		d.Distribution = append(d.Distribution, download{Type: "DataDownload", Name: f.What, ContentURL: m.base + f.Path,
			EncodingFormat: mediaType(ending), ContentSize: strconv.Itoa(f.Size) + " B"})
	}
	out, err := json.MarshalIndent(d, "", "  ")
	if err != nil { // texts and lists of texts
		panic("data: " + err.Error())
	}
	return out
}

type dataset struct {
	Context              string     `json:"@context"`
	Type                 string     `json:"@type"`
	Name                 string     `json:"name"`
	Description          string     `json:"description"`
	URL                  string     `json:"url"`
	InLanguage           string     `json:"inLanguage"`
	Licence              addresses  `json:"license,omitempty"`
	Creator              []thing    `json:"creator,omitempty"`
	DatePublished        string     `json:"datePublished,omitempty"`
	Version              string     `json:"version,omitempty"`
	IsAccessibleForFree  bool       `json:"isAccessibleForFree"`
	TemporalCoverage     string     `json:"temporalCoverage,omitempty"`
	MeasurementTechnique string     `json:"measurementTechnique"`
	VariableMeasured     []variable `json:"variableMeasured,omitempty"`
	Distribution         []download `json:"distribution"`
}

// addresses is one, or a list of several.
type addresses []string

func (a addresses) MarshalJSON() ([]byte, error) {
	if len(a) == 1 {
		return json.Marshal(a[0])
	}
	return json.Marshal([]string(a))
}

type thing struct {
	Type string `json:"@type"`
	Name string `json:"name"`
	URL  string `json:"url,omitempty"`
}

type variable struct {
	Type        string `json:"@type"`
	Name        string `json:"name"`
	Description string `json:"description,omitempty"`
	UnitText    string `json:"unitText,omitempty"`
}

type download struct {
	Type           string `json:"@type"`
	Name           string `json:"name"`
	ContentURL     string `json:"contentUrl"`
	EncodingFormat string `json:"encodingFormat"`
	ContentSize    string `json:"contentSize"`
}
