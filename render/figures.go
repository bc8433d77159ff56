package render

// figures writes what the scripts compute from: assets/figures.data.js.
func (s *site) figures() ([]File, error) {
	return []File{{Path: "assets/figures.data.js", Data: []byte("\"use strict\";\n")}}, nil
}
