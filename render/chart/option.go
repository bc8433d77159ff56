package chart

import (
	"encoding/json"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"
)

// Names that the page's script puts something in the place of: functions,
// since the page's policy allows none in data, and colours, since they follow
// the scheme.
const (
	FunctionPrefix = "function:"
	ColourPrefix   = "colour:"
)

// whiskerFunction draws an interval from the dimensions low, high, row.
const whiskerFunction = types.FuncStr(FunctionPrefix + "whisker")

func colour(token string) string { return ColourPrefix + token }

// Option gives the options of the interactive version as JSON, the same bytes
// every time. It is data alone: no address, no style, no code.
func (c Chart) Option() ([]byte, error) {
	if c.Kind == Response {
		return c.responseOption()
	}
	labels := make([]string, len(c.Rows))
	bars := make([]opts.BarData, len(c.Rows))
	rows := make([]optionRow, len(c.Rows))
	var points, from, readings []opts.ScatterData
	var whiskers []opts.CustomData
	for i, r := range c.Rows {
		labels[i] = r.Label
		if r.Mark == Failed {
			labels[i] += "  ✕"
		}
		rows[i] = optionRow{r.Text, r.Link, r.Mark}
		name := told(r)
		bars[i] = opts.BarData{Name: name, Value: "-"} // no bar where there is no value
		if r.HasValue {
			style := &opts.ItemStyle{Color: colour("chart-1"), BorderColor: colour("chart-1")}
			switch r.Mark {
			case Baseline:
				style.Color, style.BorderWidth = colour("chart-hollow"), 2
			case Tied:
				style.Color, style.BorderWidth = colour("chart-soft"), 1.5
			case Worse:
				style.Color, style.BorderColor = colour("chart-2"), colour("chart-2")
			}
			if c.Kind == Bars {
				bars[i] = opts.BarData{Name: name, Value: r.Value, ItemStyle: style}
			} else {
				points = append(points, opts.ScatterData{Name: name, Value: []any{r.Value, i}, SymbolSize: 11})
			}
		}
		if r.HasFrom {
			from = append(from, opts.ScatterData{Name: name, Value: []any{r.From, i}, SymbolSize: 10})
		}
		for _, v := range r.Readings {
			readings = append(readings, opts.ScatterData{Name: name, Value: []any{v, i}, SymbolSize: 5})
		}
		if r.HasInterval {
			whiskers = append(whiskers, opts.CustomData{Name: name, Value: []any{r.Low, r.High, i}})
		}
	}
	bar := charts.NewBar()
	bar.SetGlobalOptions(c.global(labels)...)
	if c.Kind == Bars {
		bar.SetXAxis(labels).AddSeries(c.Axis, bars, append(c.markLines(true), charts.WithBarChartOpts(opts.BarChart{BarWidth: "55%"}))...)
	} else {
		bar.SetXAxis(labels)
		scatter := charts.NewScatter()
		if len(from) > 0 {
			scatter.AddSeries(c.Head.From, from, charts.WithItemStyleOpts(opts.ItemStyle{Color: colour("chart-hollow"), BorderColor: colour("chart-ink"), BorderWidth: 1.6}))
		}
		scatter.AddSeries(c.Axis, points, append(c.markLines(true), charts.WithItemStyleOpts(opts.ItemStyle{Color: colour("chart-1")}))...)
		bar.Overlap(scatter)
	}
	if len(whiskers) > 0 {
		bar.Overlap(c.whiskers(whiskers))
	}
	if len(readings) > 0 {
		dots := charts.NewScatter()
		dots.AddSeries("readings", readings, charts.WithItemStyleOpts(opts.ItemStyle{Color: colour("chart-hollow"), BorderColor: colour("chart-ink"), BorderWidth: 1}))
		bar.Overlap(dots)
	}
	bar.XYReversal()
	bar.Validate()
	option := strip(bar.JSON())
	option["rows"] = rows
	classes := make([]string, len(c.Lines))
	for i, l := range c.Lines {
		classes[i] = l.Class
	}
	option["lines"] = classes
	return json.Marshal(option)
}

// optionRow is what the script needs of a row besides its series: the value for
// the column at the right, where its label leads, and how it is drawn.
type optionRow struct {
	Text string `json:"text"`
	Link string `json:"link,omitempty"`
	Mark Mark   `json:"mark,omitempty"`
}

// told is what the row says when it is pointed at, a line for each.
func told(r Row) string {
	lines := []string{r.Label}
	for _, line := range []string{r.Text, r.Range, strings.Join(r.Single, " · ")} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n")
}

func (c Chart) whiskers(data []opts.CustomData) *charts.Custom {
	custom := charts.NewCustom()
	custom.AddSeries("interval", data,
		charts.WithCustomChartOpts(opts.CustomChart{RenderItem: whiskerFunction}),
		charts.WithEncodeOpts(opts.Encode{X: []int{0, 1}, Y: 2}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: colour("chart-whisker")}))
	return custom
}

// global sets what all kinds share: axes without decoration, a tooltip of
// plain text, no title (the page has one) and no animation that would redraw
// what the reader already sees.
func (c Chart) global(labels []string) []charts.GlobalOpts {
	muted := colour("chart-muted")
	return []charts.GlobalOpts{
		charts.WithInitializationOpts(opts.Initialization{ChartID: c.ID}),
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "item", Formatter: "{b}"}),
		charts.WithGridOpts(opts.Grid{Left: "12", Right: "24", Top: "28", Bottom: "44", ContainLabel: opts.Bool(true)}),
		charts.WithXAxisOpts(opts.XAxis{
			Type: "value", Name: c.Axis, NameLocation: "middle", NameGap: 30, Scale: opts.Bool(c.Kind != Bars),
			AxisLabel: &opts.AxisLabel{Color: muted},
			SplitLine: &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: colour("chart-grid")}},
		}),
		charts.WithYAxisOpts(opts.YAxis{
			Type: "category", Data: labels, Inverse: opts.Bool(true),
			AxisLabel: &opts.AxisLabel{Color: colour("chart-text")},
		}),
	}
}

// markLines are the lines across: on the value axis, which lies across for
// rows and upwards for a response.
func (c Chart) markLines(across bool) []charts.SeriesOpts {
	if len(c.Lines) == 0 {
		return nil
	}
	var out []charts.SeriesOpts
	for _, l := range c.Lines {
		if across {
			out = append(out, charts.WithMarkLineNameXAxisItemOpts(opts.MarkLineNameXAxisItem{Name: l.Label, XAxis: l.At}))
		} else {
			out = append(out, charts.WithMarkLineNameYAxisItemOpts(opts.MarkLineNameYAxisItem{Name: l.Label, YAxis: l.At}))
		}
	}
	return append(out, charts.WithMarkLineStyleOpts(opts.MarkLineStyle{
		Symbol: []string{"none", "none"}, Label: &opts.Label{Formatter: "{b}", Color: colour("chart-muted")},
		LineStyle: &opts.LineStyle{Color: colour("chart-ink"), Type: "dashed"},
	}))
}

// symbols of the series of a response, in the order of shapes.
var symbols = []string{"circle", "rect", "triangle", "diamond", "pin", "roundRect"}

func (c Chart) responseOption() ([]byte, error) {
	line := charts.NewLine()
	global := []charts.GlobalOpts{
		charts.WithInitializationOpts(opts.Initialization{ChartID: c.ID}),
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(true), Top: "0", TextStyle: &opts.TextStyle{Color: colour("chart-text")}}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "item", Formatter: "{b}"}),
		charts.WithGridOpts(opts.Grid{Left: "12", Right: "24", Top: "56", Bottom: "44", ContainLabel: opts.Bool(true)}),
		charts.WithXAxisOpts(opts.XAxis{Type: "value", Name: c.XAxis, NameLocation: "middle", NameGap: 30, Scale: opts.Bool(true),
			AxisLabel: &opts.AxisLabel{Color: colour("chart-muted")},
			SplitLine: &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: colour("chart-grid")}}}),
		charts.WithYAxisOpts(opts.YAxis{Type: "value", Name: c.Axis, AxisLabel: &opts.AxisLabel{Color: colour("chart-muted")},
			SplitLine: &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: colour("chart-grid")}}}),
	}
	line.SetGlobalOptions(global...)
	scatter := charts.NewScatter()
	for i, s := range c.Series {
		tint := colour("chart-" + string(rune('1'+i%6)))
		var curve []opts.LineData
		for _, p := range s.Curve {
			curve = append(curve, opts.LineData{Value: []any{p.X, p.Y}, Symbol: "none"})
		}
		if len(curve) > 0 {
			line.AddSeries(s.Label, curve, charts.WithLineStyleOpts(opts.LineStyle{Color: tint}), charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}), charts.WithItemStyleOpts(opts.ItemStyle{Color: tint}))
		}
		var points []opts.ScatterData
		for _, p := range s.Points {
			points = append(points, opts.ScatterData{Name: told(Row{Label: p.Label, Text: p.Text, Range: p.Range}), Value: []any{p.X, p.Y}, Symbol: symbols[i%len(symbols)], SymbolSize: 11})
		}
		var extra []charts.SeriesOpts
		if i == 0 {
			extra = c.markLines(false)
		}
		scatter.AddSeries(s.Label, points, append(extra, charts.WithItemStyleOpts(opts.ItemStyle{Color: tint}))...)
	}
	line.Overlap(scatter)
	line.Validate()
	return json.Marshal(strip(line.JSON()))
}

// strip takes out what the library adds for its own pages.
func strip(option map[string]any) map[string]any {
	delete(option, "color")
	delete(option, "toolbox")
	delete(option, "title")
	return option
}

// Safe makes JSON safe inside a script element: a name that holds </script>
// cannot end it. json.Marshal escapes <, > and & already; the check is for the
// day when somebody marshals otherwise.
func Safe(data []byte) string {
	return strings.NewReplacer("<", `\u003c`, ">", `\u003e`).Replace(string(data))
}
