package design

// Session stands for the session in Term.Factors, where it is a factor like
// any other: the block in which readings were taken.
const Session = -1

// Term is an effect: one factor for a main effect, two or more for an
// interaction, ascending. Factors index Project.Factors, or are Session.
type Term struct {
	Factors []int
	// Columns is the number of contrasts, the degrees of freedom it asks for.
	Columns int
	// Clear: the tested configurations tell it from every other term here.
	Clear bool
}

// Signed is a term inside an alias set or a relation, with its coefficient.
// For terms of several contrasts the coefficient is the largest in magnitude.
type Signed struct {
	Term        int // in Structure.Terms; −1 stands for the mean
	Coefficient float64
}

// AliasSet is a set of terms whose contrasts are the same up to sign: the sum
// of their effects is all that can be seen. The first has coefficient +1.
type AliasSet struct {
	Terms []Signed
	// Words says it: "A = BC", "A = −BC".
	Words string
}

// Alias is a term that is a combination of terms before it.
type Alias struct {
	Term  int
	With  []Signed
	Words string
}

// Partial is two terms that can be told apart, but badly.
type Partial struct {
	A, B int
	// Correlation is the largest correlation between a contrast of the one and
	// one of the other, from −1 to 1.
	Correlation float64
}

// Empty is a pair of factors of which some combinations of levels were never
// tested.
type Empty struct {
	A, B int
	// Missing lists the combinations as levels of A and B, in words.
	Missing [][2]string
	// Of is how many combinations there are in all.
	Of int
}

// Structure is what the tested configurations can tell.
type Structure struct {
	// Runs is the number of different states: configurations, or
	// configurations within sessions when there are several sessions.
	Runs  int
	Terms []Term
	// Columns and Rank count the contrasts of all terms and the independent ones, the mean among both.
	Columns, Rank int
	Sets          []AliasSet
	Aliases       []Alias
	Partial       []Partial
	// Inflation is the variance inflation of each term in the model of the
	// main effects, by index into Terms; 1 for one that is orthogonal, 0 for
	// interactions and for what cannot be estimated.
	Inflation []float64
	// NeverVaried lists studied factors with a single level.
	NeverVaried []int
	// MoveTogether lists groups of factors that change only together, declared
	// followers aside.
	MoveTogether [][]int
	EmptyCells   []Empty
	// LeftOut lists interactions of studied factors that were not looked at, to
	// keep the work within bounds.
	LeftOut int
}

// StructureOptions says what to look at.
type StructureOptions struct {
	// Order of the largest interaction: 1 for main effects alone, 2, 3…
	// 0 means two-factor interactions, and three-factor ones too when there
	// are at most four studied factors.
	Order int
}
