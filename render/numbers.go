package render

import (
	"strconv"
	"strings"
)

// percent writes a share such as a confidence, with at most one decimal.
func percent(share float64, mark string) string {
	text := strconv.FormatFloat(share*100, 'f', 1, 64)
	text = strings.TrimSuffix(text, ".0")
	return strings.Replace(text, ".", mark, 1) + "\u00a0%"
}
