// Package render lays a report out as a site: pages, data for the scripts,
// feed, pictures.
//
// In: a report value, a theme, and the folder that photographs come from. Out:
// a list of files, the same bytes every time, in an order that does not depend
// on the number of cores. It computes no figure and words no claim: what a page
// prints was decided in package report, labels come from package words. It
// imports both, themes, and its own parts (chart, data, notes, site), and
// nothing imports it but the command.
//
//	theme, err := themes.Load("surface-plate", nil)
//	site, err := render.Site(r, theme, render.Options{})
//	for _, f := range site.Files { … }
//
// Pages are filled by html/template from one struct each; the struct holds
// sentences and finished tables. Tables are written by appending (table.go),
// since a thousand configurations make a hundred thousand rows and a template
// would spend seconds on them.
package render
