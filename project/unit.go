package project

// Unit is a unit of measurement by its standard symbol. The zero value is the
// unit of a bare count. A value v in the unit is v×Factor+Offset in the
// coherent unit of its dimension (Offset is non-zero for temperatures only).
type Unit struct {
	// Symbol as printed: "s", "MB/s", "°C"; empty for a bare number.
	Symbol string
	// Dimension identifies what can be converted into what.
	Dimension Dimension
	Factor    float64
	Offset    float64
}

// Dimension is a product of powers of the base quantities, plus the name of a
// counted thing where two counts must not be mixed (frames, transfers, a
// project's own unit).
type Dimension struct {
	Length, Mass, Time, Current, Temperature, Information int8
	Count                                                 string
}
