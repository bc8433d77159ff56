package main

import (
	"benchwright/design"
	"benchwright/schema"
)

// The parts of SARIF 2.1.0 (OASIS Standard, 27 March 2020) that code hosts read.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool       sarifTool     `json:"tool"`
		ColumnKind string        `json:"columnKind"`
		Results    []sarifResult `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name    string      `json:"name"`
		Version string      `json:"version"`
		Rules   []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID               string     `json:"id"`
		ShortDescription *sarifText `json:"shortDescription,omitempty"`
		FullDescription  *sarifText `json:"fullDescription,omitempty"`
		Help             *sarifText `json:"help,omitempty"`
	}
	sarifText struct {
		Text string `json:"text"`
	}
	sarifResult struct {
		RuleID       string             `json:"ruleId"`
		RuleIndex    int                `json:"ruleIndex"`
		Level        string             `json:"level"`
		Message      sarifText          `json:"message"`
		Locations    []sarifLocation    `json:"locations,omitempty"`
		Related      []sarifLocation    `json:"relatedLocations,omitempty"`
		Suppressions []sarifSuppression `json:"suppressions,omitempty"`
	}
	sarifLocation struct {
		ID       int           `json:"id,omitempty"`
		Physical sarifPhysical `json:"physicalLocation"`
		Message  *sarifText    `json:"message,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn,omitempty"`
		EndColumn   int `json:"endColumn,omitempty"`
	}
	sarifSuppression struct {
		Kind          string `json:"kind"`
		Justification string `json:"justification"`
	}
)

var sarifLevels = map[schema.Severity]string{schema.Error: "error", schema.Warning: "warning", schema.Notice: "note"}

// sarif turns findings into a log that a code host can put beside the lines
// of a change.
func sarif(findings []schema.Finding) sarifLog {
	run := sarifRun{ColumnKind: "unicodeCodePoints", Results: []sarifResult{}}
	run.Tool.Driver = sarifDriver{Name: "benchwright", Version: version(), Rules: []sarifRule{}}
	index := map[string]int{}
	documented := map[string]design.Rule{}
	for _, r := range design.Rules() {
		documented[r.Name] = r
	}
	for _, f := range findings {
		i, ok := index[f.Rule]
		if !ok {
			i = len(run.Tool.Driver.Rules)
			index[f.Rule] = i
			rule := sarifRule{ID: f.Rule}
			if d, ok := documented[f.Rule]; ok {
				rule.ShortDescription, rule.FullDescription, rule.Help = &sarifText{d.Title}, &sarifText{d.What}, &sarifText{d.Remedy}
			}
			run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, rule)
		}
		message := f.Message
		if f.Remedy != "" {
			message += "\n" + f.Remedy
		}
		r := sarifResult{RuleID: f.Rule, RuleIndex: i, Level: sarifLevels[f.Severity], Message: sarifText{message}}
		if f.File != "" {
			r.Locations = []sarifLocation{sarifAt(f.Place, f.Width)}
		}
		for n, rel := range f.Related {
			l := sarifAt(rel.Place, 0)
			l.ID, l.Message = n+1, &sarifText{rel.Message}
			r.Related = append(r.Related, l)
		}
		if f.Silenced != "" {
			r.Suppressions = []sarifSuppression{{"external", f.Silenced}}
		}
		run.Results = append(run.Results, r)
	}
	return sarifLog{Schema: "https://json.schemastore.org/sarif-2.1.0.json", Version: "2.1.0", Runs: []sarifRun{run}}
}

func sarifAt(p schema.Place, width int) sarifLocation {
	l := sarifLocation{Physical: sarifPhysical{Artifact: sarifArtifact{URI: p.File}}}
	if p.Line > 0 {
		l.Physical.Region = &sarifRegion{StartLine: p.Line, StartColumn: p.Column}
		if p.Column > 0 {
			l.Physical.Region.EndColumn = p.Column + max(width, 1)
		}
	}
	return l
}
